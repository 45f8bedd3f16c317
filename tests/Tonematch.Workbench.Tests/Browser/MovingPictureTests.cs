using Microsoft.Playwright;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>Clips as phones and cameras make them: what moves agrees with the exact standing picture, which the page finds out by itself.</summary>
[Collection(SharedWorkbenchTests.Name)]
public sealed class MovingPictureTests(SharedWorkbench shared) : PageTest(shared)
{
    private const string Shown = "tonematch.stage.player.playing && document.getElementById('exactness').textContent.includes('Moving picture')";

    [Fact]
    public async Task Picture_OfAPhoneHeldUprightAndOfTenBits_AgreesWithTheExactOneWhereItStarts()
    {
        ExternalTool ffmpeg = ExternalTool.Ffmpeg();
        Directory.CreateDirectory(PathOf("clips"));
        Make("0-camera.mp4", "yuv420p", "libx264");
        Make("flat.mp4", "yuv420p", "libx264");
        FfmpegSpelling.CopyTurned(PathOf("clips", "flat.mp4"), 90, PathOf("clips", "1-phone.mp4"));
        File.Delete(PathOf("clips", "flat.mp4"));
        Make("2-ten-bits.mkv", "yuv420p10le", "libx265", "-x265-params", "log-level=none");
        await using RunningWorkbench workbench = await RunningWorkbench.StartAsync(PathOf("out"), PathOf("clips"));
        IPage page = await OpenAsync(workbench);
        await page.GetByText("180 × 320, upright, 8 bit").WaitForAsync();
        await page.GetByRole(AriaRole.Article, new() { Name = "0-camera.mp4" }).GetByRole(AriaRole.Button, new() { Name = "I like this one" }).ClickAsync();
        await GoAsync(page, "In time");
        await UntilAsync(page, "tonematch.stage.loaded && tonematch.stage.rects[1].h > tonematch.stage.rects[1].w");

        // The browser plays both itself, and turns the phone's.
        await page.Locator("#play").ClickAsync();
        await UntilAsync(page, Shown);
        // Hard edges of saturated colours: players carry colour from pixel to pixel in their own ways. A picture turned wrongly is off by tens.
        Assert.InRange(await OffAsync(page, "a"), 0, 2);
        Assert.InRange(await OffAsync(page, "b"), 0, 2);
        await page.Locator("#play").ClickAsync();
        await page.GetByText("Still picture").WaitForAsync();

        // Ten bits: the page makes a copy, says so, and plays that.
        await page.Locator("[data-key=chooser]").SelectOptionAsync("0/2-ten-bits.mkv");
        await UntilAsync(page, "tonematch.stage.loaded.includes('2-ten-bits')");
        await page.Locator("#play").ClickAsync();
        await page.GetByText("The small copy is ready to play.").WaitForAsync();
        await page.Locator("#play").ClickAsync();
        await UntilAsync(page, Shown);
        Assert.Contains("a small copy", await page.Locator("#exactness").InnerTextAsync(), StringComparison.Ordinal);
        Assert.InRange(await OffAsync(page, "b"), 0, 3);
        Assert.Empty(Heard);

        void Make(string name, string format, string codec, params string[] more) => ffmpeg.Run(
        [
            "-v", "error", "-f", "lavfi", "-i", "testsrc2=size=320x180:rate=25:duration=4", "-vf", $"format={format},{FfmpegSpelling.TagsBt709}",
            "-c:v", codec, .. more, "-g", "25", PathOf("clips", name),
        ]);
    }

    private static Task<double> OffAsync(IPage page, string camera) => page.EvaluateAsync<double>($"tonematch.stage.player.off.{camera}");
}
