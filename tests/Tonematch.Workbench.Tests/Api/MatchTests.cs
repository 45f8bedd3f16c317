using System.Net;
using System.Text.Json;
using Xunit;

namespace Tonematch.Workbench.Tests.Api;

/// <summary>The whole work without a browser: decide, match, change, hand over.</summary>
[Collection(SharedWorkbenchTests.Name)]
public sealed class MatchTests(SharedWorkbench shared, DemoFixture demo) : IAsyncLifetime
{
    private RunningWorkbench _workbench = null!;

    public async ValueTask InitializeAsync() => _workbench = await shared.MatchedAsync(TestContext.Current.CancellationToken);

    public ValueTask DisposeAsync() => ValueTask.CompletedTask;

    [Fact]
    public async Task Match_Changed_IsFittedAgainAndHandedOverOnce()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
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

        // The results folder is shared: another test may have handed over into it.
        int id = (await _workbench.PostAsync("/api/handover", new { replace = true, evenSo = false, hald = false, clip = false, cutTest = false, begins = true })).Body.GetProperty("id").GetInt32();
        JsonElement done = await _workbench.JobAsync(id, cancel);
        Assert.True(done.GetProperty("status").GetString() == "done", done.ToString());
        using JsonDocument json = JsonDocument.Parse(await File.ReadAllTextAsync(Path.Combine(_workbench.Out, "match.json"), cancel));
        Assert.Equal(0.25, json.RootElement.GetProperty("trim").GetProperty("exposure_stops").GetDouble());
        Assert.StartsWith("clip,begins_at_seconds", await File.ReadAllTextAsync(Path.Combine(_workbench.Out, "begins.csv"), cancel), StringComparison.Ordinal);
        Assert.Contains("correction.cube", (await _workbench.GetAsync("/api/state")).GetProperty("files").ToString(), StringComparison.Ordinal);

        // What is there is not overwritten unless it is said.
        id = (await _workbench.PostAsync("/api/handover", new { replace = false, evenSo = false, hald = false, clip = false, cutTest = false, begins = false })).Body.GetProperty("id").GetInt32();
        Assert.Contains("is there already", (await _workbench.JobAsync(id, cancel)).GetProperty("message").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Job_Cancelled_SaysSoAndLeavesTheDecisionsAndTheMatchBefore()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        int id = await StartAgainAsync();
        await StopAsync(id, cancel);
        Assert.Equal("cancelled", (await _workbench.JobAsync(id, cancel)).GetProperty("status").GetString());
        JsonElement state = await _workbench.GetAsync("/api/state");
        Assert.Equal(DemoFixture.A, state.GetProperty("session").GetProperty("primary").GetString());
        Assert.Equal("ready", state.GetProperty("matches")[0].GetProperty("status").GetString());
    }

    [Fact]
    public async Task Events_OfAPageThatComesLate_BeginWithTheJobThatRuns()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        int id = await StartAgainAsync();
        using HttpResponseMessage events = await _workbench.Client.GetAsync("/api/events", HttpCompletionOption.ResponseHeadersRead, cancel);
        Assert.Equal("text/event-stream", events.Content.Headers.ContentType!.MediaType);
        using StreamReader reader = new(await events.Content.ReadAsStreamAsync(cancel));
        string text = "";
        while (!text.Contains($"\"id\":{id},\"kind\":\"match\"", StringComparison.Ordinal))
        {
            text += await reader.ReadLineAsync(cancel) + "\n";
        }

        Assert.StartsWith("event: hello", text, StringComparison.Ordinal);
        await StopAsync(id, cancel);
        await _workbench.JobAsync(id, cancel);
    }

    [Fact]
    public async Task Job_WhoseFfmpegDies_EndsInASentenceAndTheNextOneSucceeds()
    {
        Assert.SkipUnless(OperatingSystem.IsLinux(), "processes are found by /proc");
        CancellationToken cancel = TestContext.Current.CancellationToken;
        int id = await StartAgainAsync();
        List<int> killed = [];
        JsonElement job;
        do
        {
            killed.AddRange(DecodersOf(demo.Folder).Where(p => Kill(p)));
            await Task.Delay(50, cancel);
            job = (await _workbench.GetAsync("/api/state")).GetProperty("jobs").EnumerateArray().Single(j => j.GetProperty("id").GetInt32() == id);
        }
        while (job.GetProperty("status").GetString() == "running");

        Assert.NotEmpty(killed);
        Assert.True(job.GetProperty("status").GetString() == "failed", job.ToString());
        string message = job.GetProperty("message").GetString()!;
        Assert.DoesNotContain("internal error", message, StringComparison.Ordinal);
        Assert.DoesNotContain(demo.Folder, message, StringComparison.Ordinal);
        Assert.Contains("potter-", message, StringComparison.Ordinal);

        // The page still has the match before, and pictures come again.
        Assert.Equal("ready", (await _workbench.GetAsync($"/api/match?of={DemoFixture.B}")).GetProperty("status").GetString());
        Assert.Equal(HttpStatusCode.OK, (await _workbench.FrameAsync($"clip={DemoFixture.A}&t=1.52&side=64", cancel)).Status);

        static bool Kill(int id)
        {
            try
            {
                using System.Diagnostics.Process process = System.Diagnostics.Process.GetProcessById(id);
                process.Kill();
                return true;
            }
            catch (Exception e) when (e is ArgumentException or InvalidOperationException)
            {
                return false;
            }
        }
    }

    // FFmpeg at work for this program on clips of a folder: its own children, as the system lists them.
    private static IEnumerable<int> DecodersOf(string folder)
    {
        foreach (string process in Directory.EnumerateDirectories("/proc").Where(d => int.TryParse(Path.GetFileName(d), out _)))
        {
            string command, parent;
            try
            {
                command = File.ReadAllText(Path.Combine(process, "cmdline"));
                parent = File.ReadAllText(Path.Combine(process, "stat"));
            }
            catch (Exception e) when (e is IOException or UnauthorizedAccessException)
            {
                continue;
            }

            // After the name in brackets: state, parent (proc(5)).
            string[] facts = parent[(parent.LastIndexOf(')') + 2)..].Split(' ');
            if (facts[1] == Environment.ProcessId.ToString(System.Globalization.CultureInfo.InvariantCulture) && command.Contains("ffmpeg", StringComparison.Ordinal)
                && command.Contains(folder, StringComparison.Ordinal))
            {
                yield return int.Parse(Path.GetFileName(process), System.Globalization.CultureInfo.InvariantCulture);
            }
        }
    }

    [Fact]
    public async Task Decisions_OfTwoWindows_TheSecondIsToldInPlaceOfOverwriting()
    {
        object session = new { primary = DemoFixture.A, secondaries = new[] { new { clip = DemoFixture.B } }, lutSize = 33 };
        long version = (await _workbench.GetAsync("/api/state")).GetProperty("version").GetInt64();
        Assert.Equal(HttpStatusCode.OK, (await _workbench.PostAsync("/api/session", new { version, session, draft = false })).Status);
        (HttpStatusCode status, JsonElement body) = await _workbench.PostAsync("/api/session", new { version, session, draft = false });
        Assert.Equal(HttpStatusCode.Conflict, status);
        Assert.Contains("Another window", body.GetProperty("say").GetString(), StringComparison.Ordinal);
    }

    [Fact]
    public async Task Sound_OfAMoment_IsSeenForBothAndHeardInTwoChannels()
    {
        JsonElement seen = await _workbench.GetAsync($"/api/sound?clip={DemoFixture.B}&t=6&span=2&offset=-2.384");
        Assert.Equal((1600, 1600), (seen.GetProperty("a").GetArrayLength(), seen.GetProperty("b").GetArrayLength()));
        Assert.Contains(seen.GetProperty("b").EnumerateArray(), v => v.GetDouble() > 0.5);
        byte[] wav = await _workbench.Client.GetByteArrayAsync($"/api/sound.wav?clip={DemoFixture.B}&t=6&span=1&offset=-2.384", TestContext.Current.CancellationToken);
        Assert.Equal("RIFF", System.Text.Encoding.ASCII.GetString(wav, 0, 4));
        Assert.Equal((2, 48000, 44 + (48000 * 4)), (BitConverter.ToInt16(wav, 22), BitConverter.ToInt32(wav, 24), wav.Length));
    }

    [Fact]
    public async Task Point_InsideAPair_IsComparedWithTheSamePlaceOfCameraA()
    {
        JsonElement pair = (await _workbench.GetAsync($"/api/pairs?of={DemoFixture.B}")).EnumerateArray().First(p => p.GetProperty("b").ValueKind == JsonValueKind.Array);
        double[] a = [.. pair.GetProperty("a").EnumerateArray().Select(v => v.GetDouble())], b = [.. pair.GetProperty("b").EnumerateArray().Select(v => v.GetDouble())];
        JsonElement inside = await PointAsync(b[0] + (0.25 * b[2]), b[1]), outside = await PointAsync(0.01, 0.01);
        double[] place = [.. inside.GetProperty("a").GetProperty("place").EnumerateArray().Select(v => v.GetDouble())];
        Assert.Equal(a[0] + (0.25 * a[2]), place[0], 1e-3);
        Assert.Equal(a[1], place[1], 1e-3);
        Assert.InRange(inside.GetProperty("a").GetProperty("after").GetDouble(), 0, inside.GetProperty("a").GetProperty("before").GetDouble());
        Assert.Equal(JsonValueKind.Null, outside.GetProperty("a").ValueKind);

        Task<JsonElement> PointAsync(double x, double y) => _workbench.GetAsync(FormattableString.Invariant(
            $"/api/point?clip={DemoFixture.B}&of={DemoFixture.B}&t={pair.GetProperty("t").GetDouble()}&x={x}&y={y}"));
    }

    [Fact]
    public async Task Decision_WhileTheMatchIsLookedAtOverTime_IsNotKeptWaiting()
    {
        CancellationToken cancel = TestContext.Current.CancellationToken;
        int before = Last(await _workbench.GetAsync("/api/state")).GetProperty("id").GetInt32();
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, model = "gains" }]);
        JsonElement checks = await _workbench.WaitAsync("/api/state", s => Last(s).GetProperty("kind").GetString() == "check" && Last(s).GetProperty("id").GetInt32() > before, cancel);
        int id = Last(checks).GetProperty("id").GetInt32();
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, model = "matrix" }]);
        await _workbench.WaitAsync($"/api/match?of={DemoFixture.B}", m => m.GetProperty("chosen").GetString() == "matrix", cancel);
        Assert.Equal("cancelled", (await _workbench.JobAsync(id, cancel)).GetProperty("status").GetString());

        static JsonElement Last(JsonElement state) => state.GetProperty("jobs").EnumerateArray().Last();
    }

    // The same match anew: the one that is there stays until the new one has come.
    private async Task<int> StartAgainAsync()
    {
        await _workbench.PostAsync("/api/match", new { clip = DemoFixture.B });
        return (await _workbench.GetAsync("/api/state")).GetProperty("jobs").EnumerateArray().Last(j => j.GetProperty("kind").GetString() == "match").GetProperty("id").GetInt32();
    }

    private async Task StopAsync(int id, CancellationToken cancel)
    {
        using HttpRequestMessage stop = new(HttpMethod.Delete, $"/api/jobs/{id}");
        stop.Headers.Add("Origin", _workbench.Origin);
        using HttpResponseMessage answer = await _workbench.Client.SendAsync(stop, cancel);
        Assert.Equal(HttpStatusCode.NoContent, answer.StatusCode);
    }
}
