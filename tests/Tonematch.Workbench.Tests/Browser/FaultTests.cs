using Microsoft.Playwright;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>What goes wrong on any day: the page says so in a sentence, and nothing decided is lost.</summary>
[Collection(SharedWorkbenchTests.Name)]
public sealed class FaultTests(SharedWorkbench shared, DemoFixture demo) : PageTest(shared)
{
    private const string NoWebGl = "HTMLCanvasElement.prototype.getContext = new Proxy(HTMLCanvasElement.prototype.getContext, { apply: (f, self, a) => a[0] === 'webgl2' ? null : Reflect.apply(f, self, a) });";

    [Fact]
    public async Task Page_WithoutWebGl_ShowsThePicturesOfTheServerAndSaysSo()
    {
        IPage page = await OpenAsync(await Shared.MatchedAsync(Cancel), NoWebGl);
        await GoAsync(page, "Look");
        await page.GetByText("no WebGL2").WaitForAsync();
        await StillsAsync(page, 2);
        double before = await page.EvaluateAsync<double>("tonematch.state.t");
        await PressOnAsync(page, "#picture", ".");
        await UntilAsync(page, FormattableString.Invariant($"Math.abs(tonematch.state.t - {before} - 0.04) < 0.002"));
        Assert.Empty(Heard);
    }

    [Fact]
    public async Task Page_WhoseGraphicsAreTakenAway_ShowsThePicturesOfTheServerUntilTheyAreBack()
    {
        IPage page = await OpenAsync(await Shared.MatchedAsync(Cancel));
        await GoAsync(page, "Look");
        await UntilAsync(page, "tonematch.stage.loaded && tonematch.stage.gl.lutSize > 0");
        await page.EvaluateAsync("() => { window.kept = tonematch.stage.gl.means('matched'); window.taken = tonematch.stage.gl.gl.getExtension('WEBGL_lose_context'); window.taken.loseContext(); }");
        await page.GetByText("lost the picture").WaitForAsync();
        await StillsAsync(page, 2);
        await page.EvaluateAsync("() => window.taken.restoreContext()");
        await page.GetByText("Still picture").WaitForAsync();
        Assert.Equal(0, await page.Locator(".stills").CountAsync());
        await UntilAsync(page, "tonematch.stage.loaded && tonematch.stage.gl.lutSize > 0 && !!tonematch.stage.gl.pictures.matched");
        Assert.Equal(0, await page.EvaluateAsync<double>("(now => Math.max(...window.kept.map((v, i) => Math.abs(v - now[i]))))(tonematch.stage.gl.means('matched'))"));
        Assert.DoesNotContain(Heard, h => !h.Contains("CONTEXT_LOST_WEBGL", StringComparison.Ordinal));
    }

    [Fact]
    public async Task Page_WhoseServerIsGone_SaysSoKeepsWhatWasDecidedAndSendsItLater()
    {
        string folder = PathOf("out");
        RunningWorkbench workbench = await RunningWorkbench.StartAsync(folder, demo.Folder);
        try
        {
            IPage page = await OpenAsync(workbench);
            await LikeAsync(page);
            await UntilAsync(page, "!tonematch.state.saving");

            // For a moment nothing answers: the change is kept on the page, and sent when something does.
            await page.RouteAsync("**/api/session", r => r.AbortAsync());
            await page.GetByRole(AriaRole.Article, new() { Name = "potter-hands.mp4" }).GetByRole(AriaRole.Button, new() { Name = "To be matched to A" }).ClickAsync();
            await page.GetByText("not saved yet").WaitForAsync();
            await page.UnrouteAsync("**/api/session");
            await UntilAsync(page, "!tonematch.state.saving && tonematch.state.connected");
            Assert.Empty(SessionFile.Read(Path.Combine(folder, WorkbenchSession.FileName)).Secondaries);
            await page.Locator("[data-key=undo]").ClickAsync();
            await UntilAsync(page, "!tonematch.state.saving && tonematch.state.session.secondaries.length === 1");

            // It ends, and another is started: that one does not know this page, and says so.
            await workbench.DisposeAsync();
            await page.GetByText("Looking for the workbench").WaitForAsync();
            workbench = await RunningWorkbench.StartAtAsync(new Uri(workbench.Origin).Port, folder, demo.Folder);
            await page.GetByText("another start of the workbench").WaitForAsync();
            await page.GotoAsync(workbench.NewAddress().ToString());
            await UntilAsync(page, "window.tonematch?.state.session?.secondaries.length === 1 && tonematch.state.connected");
            Assert.Equal(0, await page.GetByText("Looking for the workbench").CountAsync());
        }
        finally
        {
            await workbench.DisposeAsync();
        }
    }

    [Fact]
    public async Task Pages_InTwoWindows_ShowTheSameAndTakeBackOnlyTheirOwn()
    {
        RunningWorkbench workbench = await Shared.MatchedAsync(Cancel);
        IPage one = await OpenAsync(workbench), other = await OpenAsync(workbench, one.Context);
        await GoAsync(one, "Trim");
        await GoAsync(other, "Trim");
        await other.Locator("#trim-contrast_percent").FillAsync("5");
        await other.Locator("#trim-contrast_percent").DispatchEventAsync("change");
        await UntilAsync(other, "!tonematch.state.saving");
        long version = await other.EvaluateAsync<long>("tonematch.state.version");
        await UntilAsync(one, $"tonematch.decisions().trim.contrast_percent === 5 && tonematch.state.version === {version}");
        await one.Locator("#trim-warmth_mired").FillAsync("7");
        await one.Locator("#trim-warmth_mired").DispatchEventAsync("change");
        await UntilAsync(other, "tonematch.decisions().trim.warmth_mired === 7 && tonematch.decisions().trim.contrast_percent === 5");

        // What the other window did last is not this one's to take back.
        Assert.True(await other.Locator("[data-key=undo]").IsDisabledAsync());
        await one.Locator("[data-key=undo]").ClickAsync();
        await UntilAsync(other, "!tonematch.decisions().trim.warmth_mired && tonematch.decisions().trim.contrast_percent === 5");
        Assert.Empty(Heard);
    }

    [Fact]
    public async Task Page_WhoseClipVanishes_SaysWhichOneAndGoesOnWithoutIt()
    {
        foreach (string clip in Directory.GetFiles(demo.Folder, "*.mp4"))
        {
            Directory.CreateDirectory(PathOf("clips"));
            File.Copy(clip, PathOf("clips", Path.GetFileName(clip)));
        }

        await using RunningWorkbench workbench = await RunningWorkbench.StartAsync(PathOf("out"), PathOf("clips"));
        IPage page = await OpenAsync(workbench);
        await LikeAsync(page);
        await GoAsync(page, "In time");
        File.Delete(PathOf("clips", "potter-hands.mp4"));
        await page.EvaluateAsync("() => dispatchEvent(new Event('focus'))");
        await page.GetByRole(AriaRole.Article, new() { Name = "potter-hands.mp4" }).GetByText("not there any more").WaitForAsync();
        await SeenAsync(page);
        await page.GetByRole(AriaRole.Button, new() { Name = "Go on without it" }).ClickAsync();
        await UntilAsync(page, "!tonematch.state.saving && tonematch.state.session.secondaries.length === 0");
    }

    private static async Task LikeAsync(IPage page)
    {
        await page.GetByRole(AriaRole.Article, new() { Name = "potter-wide.mp4" }).GetByRole(AriaRole.Button, new() { Name = "I like this one" }).ClickAsync();
        await UntilAsync(page, "tonematch.state.session.secondaries.length === 1");
    }

    private static async Task StillsAsync(IPage page, int count)
    {
        await page.Locator(".stills img").First.WaitForAsync();
        await UntilAsync(page, $"(all => all.length === {count} && all.every(i => i.complete && i.naturalWidth > 0))([...document.querySelectorAll('.stills img')])");
    }
}
