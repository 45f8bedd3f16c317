using System.Globalization;
using Deque.AxeCore.Commons;
using Deque.AxeCore.Playwright;
using Microsoft.Playwright;
using Tonematch.Colour;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Tonematch.Workbench.Session;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>The page in the system's Chromium, as a person meets it: by pointer, by keyboard, in light and dark, wide and narrow.</summary>
public sealed class ClickThroughTests(DemoFixture demo) : IAsyncLifetime
{
    private static readonly string[] s_places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

    private readonly TempFolder _folder = new();
    private readonly List<string> _heard = [];
    private IPlaywright? _playwright;
    private IBrowser? _browser;
    private RunningWorkbench _workbench = null!;

    public async ValueTask InitializeAsync()
    {
        ExternalTool.Ffmpeg();
        string? chromium = s_places.FirstOrDefault(File.Exists);
        Assert.SkipUnless(chromium is not null, "there is no Chromium on this system");
        _workbench = await RunningWorkbench.StartAsync(_folder.PathOf("out"), demo.Folder);
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new()
        {
            ExecutablePath = chromium,
            Args =
            [
                "--no-sandbox", "--use-gl=angle", "--use-angle=swiftshader", "--enable-unsafe-swiftshader",
                "--autoplay-policy=no-user-gesture-required", "--disable-background-networking", "--no-first-run",
            ],
            Timeout = 120_000,
        });
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

    [Fact]
    public async Task Page_ByPointer_MatchesTakesOutMarksTrimsAndHandsOverWhatTheCanvasShows()
    {
        IPage page = await OpenAsync();
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

        await GoAsync(page, "In time");
        await page.Locator(".wave").First.WaitForAsync();
        await SeenAsync(page, "workbench-time");

        await GoAsync(page, "Trim");
        await page.Locator("#trim-exposure_stops").FillAsync("0.3");
        await page.Locator("#trim-exposure_stops").DispatchEventAsync("change");
        await page.GetByText("with the trim").WaitForAsync();
        await SeenAsync(page, "workbench-trim");

        await GoAsync(page, "Hand over");
        await page.Locator("[data-key=cutTest]").UncheckAsync();
        await page.Locator("#write").ClickAsync();
        await page.GetByText("Everything is written").WaitForAsync();
        await SeenAsync(page, "workbench-hand-over");

        await GoAsync(page, "Look");
        await UntilAsync(page, "tonematch.stage.tableOf.endsWith(':' + tonematch.state.matches[tonematch.state.current].lutVersion)");
        await CanvasShowsAsync(page, _folder.PathOf("out", "correction.cube"));
        string other = _folder.PathOf("by-hand");
        await CommandLine.RunAsync("match", "--session", _folder.PathOf("out", WorkbenchSession.FileName), "--out", other);
        Assert.Equal(await File.ReadAllTextAsync(Path.Combine(other, "correction.cube"), TestContext.Current.CancellationToken), await File.ReadAllTextAsync(_folder.PathOf("out", "correction.cube"), TestContext.Current.CancellationToken));

        // A page that is loaded anew finds everything again.
        await page.ReloadAsync();
        await page.Locator("#title").WaitForAsync();
        Assert.Equal("0.3", await page.EvaluateAsync<string>("String(tonematch.decisions().trim.exposure_stops)"));
        Assert.Empty(_heard);
    }

    [Fact]
    public async Task Page_ByKeyboardAlone_ComesToTheSameEnd()
    {
        IPage page = await OpenAsync();
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
        Assert.True(File.Exists(_folder.PathOf("out", "correction.cube")));
        Assert.Empty(_heard);
    }

    [Fact]
    public async Task Page_WithoutWebGl_ShowsThePicturesOfTheServerAndSaysSo()
    {
        IPage page = await OpenAsync("HTMLCanvasElement.prototype.getContext = new Proxy(HTMLCanvasElement.prototype.getContext, { apply: (f, self, a) => a[0] === 'webgl2' ? null : Reflect.apply(f, self, a) });");
        await page.GetByRole(AriaRole.Article, new() { Name = "potter-wide.mp4" }).GetByRole(AriaRole.Button, new() { Name = "I like this one" }).ClickAsync();
        await page.Locator("#match").ClickAsync();
        await page.GetByText("Matched.").WaitForAsync();
        await GoAsync(page, "Look");
        await page.GetByText("no WebGL2").WaitForAsync();
        await page.Locator(".stills img").First.WaitForAsync();
        await UntilAsync(page, "[...document.querySelectorAll('.stills img')].every(i => i.complete && i.naturalWidth > 0)");
        Assert.Equal(2, await page.Locator(".stills img").CountAsync());
        Assert.Empty(_heard);
    }

    [Fact]
    public async Task Page_WhoseServerIsGone_SaysSoAndKeepsWhatWasDecided()
    {
        IPage page = await OpenAsync();
        await page.GetByRole(AriaRole.Article, new() { Name = "potter-wide.mp4" }).GetByRole(AriaRole.Button, new() { Name = "I like this one" }).ClickAsync();
        await UntilAsync(page, "!tonematch.state.saving");
        await _workbench.DisposeAsync();
        await UntilAsync(page, "!tonematch.state.connected");
        await page.GetByText("Looking for the workbench").WaitForAsync();
        Assert.Contains("potter-hands.mp4", await File.ReadAllTextAsync(_folder.PathOf("out", WorkbenchSession.FileName), TestContext.Current.CancellationToken), StringComparison.Ordinal);
        _workbench = await RunningWorkbench.StartAsync(_folder.PathOf("out"), demo.Folder);
    }

    private async Task<IPage> OpenAsync(string? first = null)
    {
        IBrowserContext context = await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = 1400, Height = 900 }, ColorScheme = ColorScheme.Light });
        IPage page = await context.NewPageAsync();
        page.SetDefaultTimeout(180_000);
        if (first is not null)
        {
            await page.AddInitScriptAsync(first);
        }

        page.Console += (_, m) => _heard.Add(m.Text);
        page.PageError += (_, e) => _heard.Add(e);
        page.Request += (_, r) =>
        {
            if (!r.Url.StartsWith(_workbench.Origin, StringComparison.Ordinal) && !r.Url.StartsWith("blob:", StringComparison.Ordinal))
            {
                _heard.Add(r.Url);
            }
        };
        await page.GotoAsync(_workbench.NewAddress().ToString());
        await page.Locator("#title").WaitForAsync();
        return page;
    }

    // A state in light and dark, wide and narrow: without faults, and nothing to be scrolled sideways.
    private static async Task SeenAsync(IPage page, string? picture = null)
    {
        await SettledAsync(page);
        foreach ((int width, ColorScheme scheme) in ((int, ColorScheme)[])[(1400, ColorScheme.Light), (390, ColorScheme.Dark)])
        {
            await page.SetViewportSizeAsync(width, width > 1000 ? 900 : 844);
            // Without motion: colours on the way from one scheme to the other are nobody's state.
            await page.EmulateMediaAsync(new() { ColorScheme = scheme, ReducedMotion = ReducedMotion.Reduce });
            await SettledAsync(page);
            AxeResult result = await page.RunAxe();
            Assert.True(result.Violations.Length == 0, string.Join('\n', result.Violations.Select(f => $"{width} {scheme} {f.Id}: {f.Help}: {string.Join(" | ", f.Nodes.Take(3).Select(n => n.Html))}")));
            Assert.NotEmpty(result.Passes);
            Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, width);
            if (picture is not null && Environment.GetEnvironmentVariable("TONEMATCH_SCREENSHOTS") is { Length: > 0 } folder)
            {
                await page.ScreenshotAsync(new() { Path = Path.Combine(folder, $"{picture}-{width}.jpg"), Type = ScreenshotType.Jpeg, Quality = 82 });
            }
        }

        await page.SetViewportSizeAsync(1400, 900);
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light });
        await SettledAsync(page);
    }

    // The page's policy forbids Playwright's own waiting for expressions: asked from outside, it may be.
    private static async Task UntilAsync(IPage page, string expression)
    {
        for (int i = 0; i < 1800; i++)
        {
            if (await page.EvaluateAsync<bool>(expression))
            {
                return;
            }

            await Task.Delay(100);
        }

        Assert.Fail($"In three minutes it was never so: {expression}. The page says: {await page.Locator("body").InnerTextAsync()}");
    }

    private static async Task SettledAsync(IPage page)
    {
        string last = "";
        for (int i = 0; i < 50; i++)
        {
            string now = await page.EvaluateAsync<string>("document.getElementById('main').dataset.drawn + document.getElementById('panel').textContent.length");
            if (now == last && i > 2)
            {
                return;
            }

            last = now;
            await Task.Delay(150);
        }
    }

    private static async Task GoAsync(IPage page, string step)
    {
        await page.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Button, new() { Name = step, Exact = true }).ClickAsync();
        await SettledAsync(page);
    }

    private static async Task PressOnAsync(IPage page, string selector, string key)
    {
        await page.Locator(selector).First.FocusAsync();
        await page.Keyboard.PressAsync(key);
    }

    private static async Task DrawAsync(IPage page, int picture, double x0, double y0, double x1, double y1)
    {
        double[] r = await page.EvaluateAsync<double[]>($"(() => {{ const b = tonematch.stage.area.getBoundingClientRect(), r = tonematch.stage.rects[{picture}]; return [b.left + r.x, b.top + r.y, r.w, r.h]; }})()");
        await page.Mouse.MoveAsync((float)(r[0] + (x0 * r[2])), (float)(r[1] + (y0 * r[3])));
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync((float)(r[0] + (x1 * r[2])), (float)(r[1] + (y1 * r[3])), new() { Steps = 4 });
        await page.Mouse.UpAsync();
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
