using System.Net;
using System.Text.Json;
using Tonematch.Testing;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Api;

/// <summary>The whole work without a browser: decide, match, change, hand over.</summary>
public sealed class MatchTests(DemoFixture demo) : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private RunningWorkbench _workbench = null!;

    private string Out => _folder.PathOf("out");

    public async ValueTask InitializeAsync()
    {
        ExternalTool.Ffmpeg();
        _workbench = await RunningWorkbench.StartAsync(Out, demo.Folder);
    }

    public async ValueTask DisposeAsync()
    {
        if (_workbench is not null)
        {
            await _workbench.DisposeAsync();
        }

        _folder.Dispose();
    }

    [Fact]
    public async Task Match_Changed_HandsOverTheVeryBytesOfTheCommandLine()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        await MatchAsync(cancel);
        JsonElement[] pairs = [.. (await _workbench.GetAsync($"/api/pairs?of={DemoFixture.B}")).EnumerateArray()];
        Assert.True(pairs.Length >= 20, $"{pairs.Length} pairs");
        JsonElement before = await _workbench.GetAsync($"/api/match?of={DemoFixture.B}");

        // One pair out, a region in and weighed, a trim.
        double t = pairs[0].GetProperty("t").GetDouble();
        double[][] a = [[0.05, 0.05], [0.1, 0.05], [0.1, 0.1], [0.05, 0.1]], b = [[0.9, 0.3], [0.95, 0.3], [0.95, 0.4], [0.9, 0.4]];
        (HttpStatusCode status, JsonElement said) = await _workbench.DecideAsync(DemoFixture.A,
        [
            new
            {
                clip = DemoFixture.B, leftOut = new[] { pairs[3].GetProperty("id").GetString() }, weights = new Dictionary<string, double> { ["wall"] = 2 },
                regions = new[] { new { name = "wall", primary = a, secondary = b, at = t } }, trim = new { exposure_stops = 0.25, skin_kept = 0.5 },
            },
        ]);
        Assert.True(status == HttpStatusCode.OK, said.ToString());
        JsonElement after = await _workbench.WaitAsync($"/api/match?of={DemoFixture.B}", m => m.GetProperty("lutVersion").GetInt64() > before.GetProperty("lutVersion").GetInt64(), cancel);
        Assert.Equal("", after.GetProperty("problem").GetString());
        Assert.Equal(before.GetProperty("pairs").GetInt32(), after.GetProperty("pairs").GetInt32());
        Assert.True(after.GetProperty("after").GetDouble() > after.GetProperty("afterWithoutTrim").GetDouble() + 1, after.ToString());
        Assert.Contains("A trim made by hand", after.GetProperty("warnings")[0].GetString(), StringComparison.Ordinal);

        int id = (await _workbench.PostAsync("/api/handover", new { replace = false, hald = false, clip = false, cutTest = false, begins = true })).Body.GetProperty("id").GetInt32();
        JsonElement done = await JobAsync(id, cancel);
        Assert.True(done.GetProperty("status").GetString() == "done", done.ToString());
        string other = _folder.PathOf("by-hand");
        await CommandLine.RunAsync("match", "--session", Path.Combine(Out, WorkbenchSession.FileName), "--out", other);
        foreach (string name in (string[])["correction.cube", "correction.clf", "correction.cdl", "pairs.csv", "match.json"])
        {
            Assert.Equal(await File.ReadAllTextAsync(Path.Combine(other, name), cancel), await File.ReadAllTextAsync(Path.Combine(Out, name), cancel));
        }

        using JsonDocument json = JsonDocument.Parse(await File.ReadAllTextAsync(Path.Combine(Out, "match.json"), cancel));
        Assert.Equal(0.25, json.RootElement.GetProperty("trim").GetProperty("exposure_stops").GetDouble());
        Assert.StartsWith("clip,begins_at_seconds", await File.ReadAllTextAsync(Path.Combine(Out, "begins.csv"), cancel), StringComparison.Ordinal);
        Assert.Contains("correction.cube", (await _workbench.GetAsync("/api/state")).GetProperty("files").ToString(), StringComparison.Ordinal);

        // What is there is not overwritten unless it is said.
        id = (await _workbench.PostAsync("/api/handover", new { replace = false, hald = false, clip = false, cutTest = false, begins = false })).Body.GetProperty("id").GetInt32();
        Assert.Contains("is there already", (await JobAsync(id, cancel)).GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Job_Cancelled_SaysSoAndLeavesTheDecisions()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        await _workbench.PostAsync("/api/match", new { clip = "" });
        int id = (await _workbench.GetAsync("/api/state")).GetProperty("jobs")[0].GetProperty("id").GetInt32();
        using HttpRequestMessage stop = new(HttpMethod.Delete, $"/api/jobs/{id}");
        stop.Headers.Add("Origin", _workbench.Origin);
        Assert.Equal(HttpStatusCode.NoContent, (await _workbench.Client.SendAsync(stop, cancel)).StatusCode);
        Assert.Equal("cancelled", (await JobAsync(id, cancel)).GetProperty("status").GetString());
        Assert.Equal(DemoFixture.A, (await _workbench.GetAsync("/api/state")).GetProperty("session").GetProperty("primary").GetString());
    }

    [Fact]
    public async Task Events_OfAPageThatComesLate_BeginWithTheJobThatRuns()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        await _workbench.PostAsync("/api/match", new { clip = "" });
        using HttpResponseMessage events = await _workbench.Client.GetAsync("/api/events", HttpCompletionOption.ResponseHeadersRead, cancel);
        Assert.Equal("text/event-stream", events.Content.Headers.ContentType!.MediaType);
        using StreamReader reader = new(await events.Content.ReadAsStreamAsync(cancel));
        string text = "";
        while (!text.Contains("event: job", StringComparison.Ordinal) || !text.Contains("\"kind\":\"match\"", StringComparison.Ordinal))
        {
            text += await reader.ReadLineAsync(cancel) + "\n";
        }

        Assert.StartsWith("event: hello", text, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Decisions_OfTwoWindows_TheSecondIsToldInPlaceOfOverwriting()
    {
        object session = new { primary = DemoFixture.A, secondaries = new[] { new { clip = DemoFixture.B } }, lutSize = 33 };
        Assert.Equal(HttpStatusCode.OK, (await _workbench.PostAsync("/api/session", new { version = 0, session, draft = false })).Status);
        (HttpStatusCode status, JsonElement body) = await _workbench.PostAsync("/api/session", new { version = 0, session, draft = false });
        Assert.Equal(HttpStatusCode.Conflict, status);
        Assert.Contains("Another window", body.GetProperty("say").GetString(), StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("{\"version\":0}")]
    [InlineData("not json")]
    [InlineData("{\"version\":0,\"session\":{\"primary\":null,\"secondaries\":[],\"lutSize\":33,\"more\":1},\"draft\":false}")]
    [InlineData("{\"version\":0,\"session\":{\"primary\":null,\"secondaries\":[{\"clip\":\"0/potter-hands.mp4\",\"trim\":{\"exposure_stops\":99}}],\"lutSize\":33},\"draft\":false}")]
    [InlineData("{\"version\":0,\"session\":{\"primary\":\"0/../x.mp4\",\"secondaries\":[],\"lutSize\":33},\"draft\":false}")]
    public async Task Decisions_ThatCannotBeUsed_AreRefusedAndNothingChanges(string body)
    {
        using HttpRequestMessage request = new(HttpMethod.Post, "/api/session") { Content = new StringContent(body, System.Text.Encoding.UTF8, "application/json") };
        request.Headers.Add("Origin", _workbench.Origin);
        using HttpResponseMessage answer = await _workbench.Client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.InRange((int)answer.StatusCode, 400, 422);
        Assert.Equal(0, (await _workbench.GetAsync("/api/state")).GetProperty("version").GetInt64());
    }

    [Fact]
    public async Task Session_AfterACrash_IsTakenUpWhereItWas()
    {
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, offsetSeconds = -2.5, model = "matrix" }]);
        await _workbench.DisposeAsync();
        _workbench = await RunningWorkbench.StartAsync(Out, demo.Folder);
        JsonElement match = (await _workbench.GetAsync("/api/state")).GetProperty("session").GetProperty("secondaries")[0];
        Assert.Equal((DemoFixture.B, -2.5, "matrix"), (match.GetProperty("clip").GetString(), match.GetProperty("offsetSeconds").GetDouble(), match.GetProperty("model").GetString()));
    }

    [Fact]
    public async Task Session_ThatCannotBeRead_IsPutAsideAndSaid()
    {
        await _workbench.DisposeAsync();
        await File.WriteAllTextAsync(Path.Combine(Out, WorkbenchSession.FileName), "{ broken", TestContext.Current.CancellationToken);
        _workbench = await RunningWorkbench.StartAsync(Out, demo.Folder);
        Assert.Contains("put aside", (await _workbench.GetAsync("/api/state")).GetProperty("trouble").GetString(), StringComparison.Ordinal);
        Assert.Equal("{ broken", await File.ReadAllTextAsync(Path.Combine(Out, WorkbenchSession.FileName + ".unreadable"), TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Sound_OfAMoment_IsSeenForBothAndHeardInTwoChannels()
    {
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        JsonElement seen = await _workbench.GetAsync($"/api/sound?clip={DemoFixture.B}&t=6&span=2&offset=-2.384");
        Assert.Equal((1600, 1600), (seen.GetProperty("a").GetArrayLength(), seen.GetProperty("b").GetArrayLength()));
        Assert.Contains(seen.GetProperty("b").EnumerateArray(), v => v.GetDouble() > 0.5);
        byte[] wav = await _workbench.Client.GetByteArrayAsync($"/api/sound.wav?clip={DemoFixture.B}&t=6&span=1&offset=-2.384", TestContext.Current.CancellationToken);
        Assert.Equal("RIFF", System.Text.Encoding.ASCII.GetString(wav, 0, 4));
        Assert.Equal((2, 48000, 44 + (48000 * 4)), (BitConverter.ToInt16(wav, 22), BitConverter.ToInt32(wav, 24), wav.Length));
    }

    private async Task MatchAsync(CancellationToken cancel)
    {
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        await _workbench.PostAsync("/api/match", new { clip = "" });
        JsonElement job = await JobAsync((await _workbench.GetAsync("/api/state")).GetProperty("jobs")[0].GetProperty("id").GetInt32(), cancel);
        Assert.True(job.GetProperty("status").GetString() == "done", job.ToString());
    }

    private async Task<JsonElement> JobAsync(int id, CancellationToken cancel)
    {
        JsonElement Job(JsonElement state) => state.GetProperty("jobs").EnumerateArray().Single(j => j.GetProperty("id").GetInt32() == id);
        return Job(await _workbench.WaitAsync("/api/state", s => Job(s).GetProperty("status").GetString() != "running", cancel));
    }
}
