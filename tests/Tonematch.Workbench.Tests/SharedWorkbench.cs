using System.Text.Json;
using Microsoft.Playwright;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests;

/// <summary>The tests that share one browser, one server and one finished match of the demo; one after the other.</summary>
[CollectionDefinition(Name)]
public sealed class SharedWorkbenchTests : ICollectionFixture<SharedWorkbench>
{
    public const string Name = "One workbench";
}

/// <summary>What is dear to start, started when the first test asks for it.</summary>
public sealed class SharedWorkbench(DemoFixture demo) : IAsyncDisposable
{
    private static readonly string[] s_places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

    private readonly TempFolder _folder = new();
    private RunningWorkbench? _workbench;
    private IPlaywright? _playwright;
    private IBrowser? _browser;
    private int _starts;

    /// <summary>A server on the demo's clips that knows nothing yet. Later tests take over what was matched on it.</summary>
    public async Task<RunningWorkbench> FreshAsync()
    {
        ExternalTool.Ffmpeg();
        if (_workbench is not null)
        {
            await _workbench.DisposeAsync();
        }

        return _workbench = await RunningWorkbench.StartAsync(_folder.PathOf($"out{++_starts}"), demo.Folder);
    }

    /// <summary>A server on which the demo is matched and nothing else was decided.</summary>
    public async Task<RunningWorkbench> MatchedAsync(CancellationToken cancel)
    {
        RunningWorkbench workbench = _workbench ?? await FreshAsync();
        await workbench.DecideAsync(DemoFixture.A, [new { clip = DemoFixture.B }]);
        JsonElement match = await workbench.GetAsync($"/api/match?of={DemoFixture.B}");
        if (match.GetProperty("status").GetString() != "ready")
        {
            await workbench.PostAsync("/api/match", new { clip = "" });
            int id = (await workbench.GetAsync("/api/state")).GetProperty("jobs").EnumerateArray().Last().GetProperty("id").GetInt32();
            JsonElement job = await workbench.JobAsync(id, cancel);
            Assert.True(job.GetProperty("status").GetString() == "done", job.ToString());
        }

        // Fitted to exactly this: whatever an earlier test changed is taken back.
        await workbench.WaitAsync($"/api/pairs?of={DemoFixture.B}", all => all.EnumerateArray().All(p => !p.GetProperty("isOut").GetBoolean() && !p.GetProperty("isMarked").GetBoolean()), cancel);
        await workbench.WaitAsync(
            $"/api/match?of={DemoFixture.B}",
            m => m.GetProperty("chosen").GetString() == m.GetProperty("advised").GetString() && m.GetProperty("after").GetDouble() == m.GetProperty("afterWithoutTrim").GetDouble(),
            cancel);
        return workbench;
    }

    /// <summary>The system's Chromium; skips the running test where there is none.</summary>
    public async Task<IBrowser> BrowserAsync()
    {
        if (_browser is null)
        {
            string? chromium = s_places.FirstOrDefault(File.Exists);
            Assert.SkipUnless(chromium is not null, "there is no Chromium on this system");
            _playwright = await Playwright.CreateAsync();
            _browser = await _playwright.Chromium.LaunchAsync(new()
            {
                ExecutablePath = chromium,
                Args =
                [
                    "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
                    "--autoplay-policy=no-user-gesture-required", "--disable-background-networking", "--no-first-run",
                ],
                Timeout = 180_000,
            });
        }

        return _browser;
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null)
        {
            await _browser.CloseAsync();
        }

        _playwright?.Dispose();
        if (_workbench is not null)
        {
            await _workbench.DisposeAsync();
        }

        _folder.Dispose();
    }
}
