using System.Net;
using System.Text.Json;
using Tonematch.Testing;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Api;

/// <summary>What was decided, from one start of the workbench to the next: files that are no clips suffice.</summary>
public sealed class SessionTests : IAsyncLifetime
{
    private readonly TempFolder _folder = new();
    private RunningWorkbench _workbench = null!;

    private string Out => _folder.PathOf("out");

    public async ValueTask InitializeAsync()
    {
        foreach (string name in (string[])["clips/potter-wide.mp4", "clips/potter-hands.mp4", "other/phone.mp4"])
        {
            Directory.CreateDirectory(Path.GetDirectoryName(_folder.PathOf(name))!);
            await File.WriteAllTextAsync(_folder.PathOf(name), "not a clip");
        }

        _workbench = await RunningWorkbench.StartAsync(Out, _folder.PathOf("clips"));
    }

    public async ValueTask DisposeAsync()
    {
        await _workbench.DisposeAsync();
        _folder.Dispose();
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
        _workbench = await RunningWorkbench.StartAsync(Out, _folder.PathOf("clips"));
        JsonElement match = (await _workbench.GetAsync("/api/state")).GetProperty("session").GetProperty("secondaries")[0];
        Assert.Equal((DemoFixture.B, -2.5, "matrix"), (match.GetProperty("clip").GetString(), match.GetProperty("offsetSeconds").GetDouble(), match.GetProperty("model").GetString()));
    }

    [Fact]
    public async Task Session_ThatCannotBeRead_IsPutAsideAndSaid()
    {
        await _workbench.DisposeAsync();
        await File.WriteAllTextAsync(Path.Combine(Out, WorkbenchSession.FileName), "{ broken", TestContext.Current.CancellationToken);
        _workbench = await RunningWorkbench.StartAsync(Out, _folder.PathOf("clips"));
        Assert.Contains("put aside", (await _workbench.GetAsync("/api/state")).GetProperty("trouble").GetString(), StringComparison.Ordinal);
        Assert.Equal("{ broken", await File.ReadAllTextAsync(Path.Combine(Out, WorkbenchSession.FileName + ".unreadable"), TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task Session_OfClipsInOtherFoldersToo_KeepsWhatWasDecidedAboutThem()
    {
        await _workbench.DisposeAsync();
        _workbench = await RunningWorkbench.StartAsync(Out, _folder.PathOf("clips"), _folder.PathOf("other"));
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }, new { clip = "1/phone.mp4", offsetSeconds = 1.5 }]);
        await _workbench.DisposeAsync();
        _workbench = await RunningWorkbench.StartAsync(Out, _folder.PathOf("clips"));
        Assert.Contains("folders that were not opened", (await _workbench.GetAsync("/api/state")).GetProperty("trouble").GetString(), StringComparison.Ordinal);
        await _workbench.DecideAsync(DemoFixture.A, []);
        SessionMatch kept = Assert.Single(SessionFile.Read(Path.Combine(Out, WorkbenchSession.FileName)).Secondaries);
        Assert.Equal((_folder.PathOf("other", "phone.mp4"), 1.5), (kept.Clip, kept.OffsetSeconds!.Value));
    }

    [Fact]
    public async Task Session_OfAClipThatVanished_KeepsItsDecisionsAndTakesNewOnes()
    {
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, offsetSeconds = -2.5 }]);
        File.Delete(_folder.PathOf("clips", "potter-hands.mp4"));
        JsonElement state = await _workbench.GetAsync("/api/state");
        Assert.Contains("not there any more", state.GetProperty("clips").EnumerateArray().Single(c => c.GetProperty("id").GetString() == DemoFixture.B).GetProperty("problem").GetString(), StringComparison.Ordinal);
        Assert.Equal(-2.5, state.GetProperty("session").GetProperty("secondaries")[0].GetProperty("offsetSeconds").GetDouble());
        (HttpStatusCode status, JsonElement said) = await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, offsetSeconds = -2.6 }]);
        Assert.True(status == HttpStatusCode.OK, said.ToString());
    }

    [Fact]
    public async Task Session_OnAFolderThatCannotBeWritten_IsSaidAndSavedWithTheNextChange()
    {
        await _workbench.DecideAsync(DemoFixture.A, []);
        string file = Path.Combine(Out, WorkbenchSession.FileName), aside = file + ".aside";
        File.Move(file, aside);
        Directory.CreateDirectory(file);
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        string trouble = (await _workbench.GetAsync("/api/state")).GetProperty("trouble").GetString()!;
        Assert.Contains("could not be saved yet", trouble, StringComparison.Ordinal);
        Assert.DoesNotContain(_folder.FullPath, trouble, StringComparison.Ordinal);
        Directory.Delete(file);
        await _workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B, offsetSeconds = 1.0 }]);
        Assert.Equal("", (await _workbench.GetAsync("/api/state")).GetProperty("trouble").GetString());
        Assert.Equal(1.0, SessionFile.Read(file).Secondaries[0].OffsetSeconds);
    }
}
