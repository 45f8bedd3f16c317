using System.Globalization;
using Microsoft.Playwright;
using Tonematch.Colour;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>The whole work as a person does it: by pointer and by keyboard, in light and dark, wide, narrow and enlarged.</summary>
[Collection(SharedWorkbenchTests.Name)]
public sealed class ClickThroughTests(SharedWorkbench shared) : PageTest(shared)
{
    [Fact]
    public async Task Page_ByPointer_MatchesTakesOutMarksTrimsAndHandsOverWhatTheCanvasShows()
    {
        RunningWorkbench workbench = await Shared.FreshAsync();
        IPage page = await OpenAsync(workbench, width: 1400, height: 900);
        await SeenAsync(page, "workbench-clips");
        await page.GetByRole(AriaRole.Article, new() { Name = "potter-wide.mp4" }).GetByRole(AriaRole.Button, new() { Name = "I like this one" }).ClickAsync();
        await page.Locator("#match").ClickAsync();
        await page.Locator(".result").WaitForAsync();
        await page.GetByText("Matched.").WaitForAsync();

        await GoAsync(page, "Look");
        await SeenAsync(page, "workbench-look");
        double asMatched = await HonestAsync(page);
        Assert.InRange(asMatched, 0.01, 2.5);
        foreach (string mode in (string[])["beside", "turn", "detail", "change"])
        {
            await page.Locator($"[data-key=mode{mode}]").CheckAsync();
            await SeenAsync(page);
        }

        // Whoever wants less motion is offered no pictures that change by themselves.
        await page.Locator("[data-key=modeturn]").CheckAsync();
        await page.Locator("[data-key=itself]").WaitForAsync();
        await page.EmulateMediaAsync(new() { ReducedMotion = ReducedMotion.Reduce });
        await page.Locator("[data-key=itself]").WaitForAsync(new() { State = WaitForSelectorState.Detached });
        await page.EmulateMediaAsync(new() { ReducedMotion = ReducedMotion.Null });
        await page.Locator("[data-key=modedivided]").CheckAsync();
        await page.Locator("[data-key=kindgains]").CheckAsync();
        await UntilAsync(page, "tonematch.state.matches[tonematch.state.current].chosen === 'gains'");
        Assert.True(await HonestAsync(page) > asMatched, "gains alone cannot be better than the advised kind");
        await page.Locator("[data-key=kind]").CheckAsync();

        await GoAsync(page, "The same colours");
        await page.Locator(".pairs li").First.WaitForAsync();
        int pairs = await PairsAsync(page);
        await page.Locator(".pairs .quiet").First.ClickAsync();
        await UntilAsync(page, $"tonematch.state.matches[tonematch.state.current].pairs === {pairs - 1}");
        await page.Locator("#mark").ClickAsync();
        await DrawAsync(page, 0, 0.4, 0.3, 0.45, 0.35, release: false);
        Assert.Equal(2, await page.Locator(".glass").CountAsync());
        await page.Mouse.UpAsync();
        Assert.Equal(0, await page.Locator(".glass").CountAsync());
        await page.Locator("[data-key=name]").FillAsync("wall");
        await DrawAsync(page, 0, 0.62, 0.05, 0.66, 0.1);
        await DrawAsync(page, 1, 0.68, 0.2, 0.74, 0.28);
        await page.Locator("[data-key=done]").ClickAsync();
        await UntilAsync(page, $"tonematch.state.matches[tonematch.state.current].pairs === {pairs}");
        await page.GetByText("wall (marked)").WaitForAsync();
        await SeenAsync(page, "workbench-colours");
        await page.Locator("[data-key=undo]").ClickAsync();
        await UntilAsync(page, $"tonematch.state.matches[tonematch.state.current].pairs === {pairs - 1}");
        await page.Locator("[data-key=redo]").ClickAsync();
        await UntilAsync(page, $"tonematch.state.matches[tonematch.state.current].pairs === {pairs}");

        await page.GetByLabel("Weight of wall").SelectOptionAsync("2");
        await UntilAsync(page, "tonematch.decisions().weights.wall === 2 && !tonematch.state.saving");

        await GoAsync(page, "In time");
        await page.Locator(".wave").First.WaitForAsync();
        await SeenAsync(page, "workbench-time");

        await GoAsync(page, "Trim");
        await page.Locator("#trim-exposure_stops").FillAsync("0.3");
        await page.Locator("#trim-exposure_stops").DispatchEventAsync("change");
        await page.GetByText("with the trim").WaitForAsync();
        await page.Locator("#trim-skin_kept").FillAsync("50");
        await page.Locator("#trim-skin_kept").DispatchEventAsync("change");
        await UntilAsync(page, "tonematch.decisions().trim.skin_kept === 0.5 && !tonematch.state.saving");
        await SeenAsync(page, "workbench-trim");

        await GoAsync(page, "Hand over");
        await page.Locator("[data-key=cutTest]").UncheckAsync();
        await page.Locator("#write").ClickAsync();
        await page.GetByText("Everything is written").WaitForAsync();
        await SeenAsync(page, "workbench-hand-over");

        await GoAsync(page, "Look");
        await UntilAsync(page, "tonematch.stage.tableOf.endsWith(':' + tonematch.state.matches[tonematch.state.current].lutVersion)");
        await CanvasShowsAsync(page, Path.Combine(workbench.Out, "correction.cube"));
        string other = PathOf("by-hand");
        await CommandLine.RunAsync("match", "--session", Path.Combine(workbench.Out, WorkbenchSession.FileName), "--out", other);
        foreach (string name in (string[])["correction.cube", "correction.clf", "correction.cdl", "pairs.csv", "match.json"])
        {
            Assert.Equal(await File.ReadAllTextAsync(Path.Combine(other, name), Cancel), await File.ReadAllTextAsync(Path.Combine(workbench.Out, name), Cancel));
        }


        // A page that is loaded anew finds everything again.
        await page.ReloadAsync();
        await page.Locator("#title").WaitForAsync();
        Assert.Equal("0.3", await page.EvaluateAsync<string>("String(tonematch.decisions().trim.exposure_stops)"));
        Assert.Empty(Heard);
    }

    [Fact]
    public async Task Page_ByKeyboardAlone_ComesToTheSameEnd()
    {
        RunningWorkbench workbench = await Shared.FreshAsync();
        IPage page = await OpenAsync(workbench);
        await PressOnAsync(page, "[data-key='a0/potter-wide.mp4']", "Enter");
        await PressOnAsync(page, "#match", "Enter");
        await page.Locator(".result").WaitForAsync();
        await page.GetByText("Matched.").WaitForAsync();
        await PressOnAsync(page, "[data-key=look]", "Enter");
        await UntilAsync(page, "!document.querySelector('.line').hidden");
        await PressOnAsync(page, ".line", "ArrowLeft");
        Assert.Equal("49 % as recorded", await page.Locator(".line").GetAttributeAsync("aria-valuetext"));
        double before = await page.EvaluateAsync<double>("tonematch.state.t");
        await PressOnAsync(page, "#picture", ".");
        await UntilAsync(page, $"Math.abs(tonematch.state.t - {before.ToString(CultureInfo.InvariantCulture)} - 0.04) < 0.002");

        await PressOnAsync(page, "[data-key=colours]", "Enter");
        await page.Locator(".pairs li").First.WaitForAsync();
        int pairs = await PairsAsync(page);
        await PressOnAsync(page, ".pairs .quiet", "Enter");
        await UntilAsync(page, $"tonematch.state.matches[tonematch.state.current].pairs === {pairs - 1}");
        await PressOnAsync(page, "#mark", "Enter");
        await page.Locator("[data-key=name]").FocusAsync();
        await page.Keyboard.TypeAsync("wall");
        foreach ((string field, string value) in ((string, string)[])[("a left", "397"), ("a top", "20"), ("a width", "25"), ("a height", "18"), ("b left", "435"), ("b top", "72"), ("b width", "30"), ("b height", "28")])
        {
            await page.Locator($"[data-key='n{field}']").FocusAsync();
            await page.Keyboard.PressAsync("Control+A");
            await page.Keyboard.TypeAsync(value);
            await page.Keyboard.PressAsync("Tab");
        }

        await PressOnAsync(page, "[data-key=done]", "Enter");
        await page.GetByText("wall (marked)").WaitForAsync();
        await PressOnAsync(page, "[data-key=trim]", "Enter");
        await PressOnAsync(page, "#trim-warmth_mired", "ArrowRight");
        await page.GetByText("with the trim").WaitForAsync();
        await page.Keyboard.PressAsync("Control+z");
        await UntilAsync(page, "!tonematch.decisions().trim.warmth_mired");
        await PressOnAsync(page, "[data-key=handover]", "Enter");
        await PressOnAsync(page, "[data-key=cutTest]", "Space");
        await PressOnAsync(page, "#write", "Enter");
        await page.GetByText("Everything is written").WaitForAsync();
        Assert.True(File.Exists(Path.Combine(workbench.Out, "correction.cube")));
        Assert.Empty(Heard);
    }

    private static Task<int> PairsAsync(IPage page) => page.EvaluateAsync<int>("tonematch.state.matches[tonematch.state.current].pairs");

    private static Task<double> HonestAsync(IPage page) => page.EvaluateAsync<double>("(m => m.heldOut ?? m.after)(tonematch.state.matches[tonematch.state.current])");

    // Random colours through the canvas's own table and shader, read back, against the file that was handed over.
    private static async Task CanvasShowsAsync(IPage page, string cubePath)
    {
        Random random = new(20261128);
        double[] colours = [.. Enumerable.Range(0, 3 * 500).Select(_ => (double)(float)random.NextDouble())];
        double[] shown = await page.EvaluateAsync<double[]>("c => tonematch.stage.gl.correct(c)", colours);
        using StreamReader reader = new(cubePath);
        CubeFile cube = CubeFormat.Read(reader, cubePath);
        double worst = 0;
        for (int i = 0; i < colours.Length; i += 3)
        {
            CodeRgb exact = LutInterpolation.Tetrahedral(cube.Table!, new CodeRgb(colours[i], colours[i + 1], colours[i + 2]));
            worst = Math.Max(worst, Math.Max(Math.Abs(shown[i] - exact.R), Math.Max(Math.Abs(shown[i + 1] - exact.G), Math.Abs(shown[i + 2] - exact.B))));
        }

        Assert.True(255 * worst < 1e-3, $"{255 * worst} codes of 255");
    }
}
