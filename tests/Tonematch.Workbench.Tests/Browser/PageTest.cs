using Microsoft.Playwright;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>A test of the page in the system's Chromium: opening it, looking at a state of it, waiting for it.</summary>
public abstract class PageTest(SharedWorkbench shared) : IAsyncDisposable
{
    private readonly List<string> _heard = [];
    private readonly List<IBrowserContext> _contexts = [];
    private readonly TempFolder _folder = new();

    protected SharedWorkbench Shared { get; } = shared;

    /// <summary>A folder of this test's own.</summary>
    protected string PathOf(params string[] parts) => _folder.PathOf(parts);

    /// <summary>What no page may do: complain, stumble, ask anyone but its server.</summary>
    protected IReadOnlyList<string> Heard => _heard;

    protected static CancellationToken Cancel => TestContext.Current.CancellationToken;

    public async ValueTask DisposeAsync()
    {
        GC.SuppressFinalize(this);
        foreach (IBrowserContext context in _contexts)
        {
            await context.CloseAsync();
        }

        _folder.Dispose();
    }

    /// <summary>The page in a browser profile of its own, in a window no larger than it need be: the picture is drawn without a graphics card.</summary>
    protected async Task<IPage> OpenAsync(RunningWorkbench workbench, string? first = null, int width = 1000, int height = 640)
    {
        IBrowser browser = await Shared.BrowserAsync();
        IBrowserContext context = await browser.NewContextAsync(new() { ViewportSize = new() { Width = width, Height = height }, ColorScheme = ColorScheme.Light });
        _contexts.Add(context);
        return await OpenAsync(workbench, context, first);
    }

    /// <summary>The page in one more window of a profile.</summary>
    protected async Task<IPage> OpenAsync(RunningWorkbench workbench, IBrowserContext context, string? first = null)
    {
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
            if (!r.Url.StartsWith(workbench.Origin, StringComparison.Ordinal) && !r.Url.StartsWith("blob:", StringComparison.Ordinal))
            {
                _heard.Add(r.Url);
            }
        };
        await page.GotoAsync(workbench.NewAddress().ToString());
        await page.Locator("#title").WaitForAsync();
        return page;
    }

    // A state in light and dark, wide and narrow: without faults, and nothing to be scrolled sideways.
    protected static async Task SeenAsync(IPage page, string? picture = null)
    {
        await SettledAsync(page);
        foreach ((int width, ColorScheme scheme) in ((int, ColorScheme)[])[(1400, ColorScheme.Light), (390, ColorScheme.Dark)])
        {
            await page.SetViewportSizeAsync(width, width > 1000 ? 900 : 844);
            // Without motion: colours on the way from one scheme to the other are nobody's state.
            await page.EmulateMediaAsync(new() { ColorScheme = scheme, ReducedMotion = ReducedMotion.Reduce });
            await SettledAsync(page);
            await Accessibility.HasNoFaultAsync(page, $"{picture} at {width}, {scheme}");
            Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, width);
            if (picture is not null && Environment.GetEnvironmentVariable("TONEMATCH_SCREENSHOTS") is { Length: > 0 } folder)
            {
                await page.ScreenshotAsync(new() { Path = Path.Combine(folder, $"{picture}-{width}.jpg"), Type = ScreenshotType.Jpeg, Quality = 82 });
            }
        }

        // At 200 % a window of 1400 has half as many pixels to lay out (WCAG 2.2, 1.4.4 and 1.4.10).
        await page.SetViewportSizeAsync(700, 450);
        Assert.InRange(await page.EvaluateAsync<int>("document.documentElement.scrollWidth"), 1, 700);
        await page.SetViewportSizeAsync(1400, 900);
        await page.EmulateMediaAsync(new() { ColorScheme = ColorScheme.Light, ReducedMotion = ReducedMotion.Null });
        await SettledAsync(page);
    }

    // The page's policy forbids Playwright's own waiting for expressions: asked from outside, it may be.
    protected static async Task UntilAsync(IPage page, string expression)
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

    protected static async Task SettledAsync(IPage page)
    {
        string last = "";
        for (int i = 0; i < 100; i++)
        {
            string now = await page.EvaluateAsync<string>("document.getElementById('main').dataset.drawn + document.getElementById('panel').textContent.length");
            if (now == last && i > 1)
            {
                return;
            }

            last = now;
            await Task.Delay(60);
        }
    }

    protected static async Task GoAsync(IPage page, string step)
    {
        await page.GetByRole(AriaRole.Navigation).GetByRole(AriaRole.Button, new() { Name = step, Exact = true }).ClickAsync();
        await SettledAsync(page);
    }

    protected static async Task PressOnAsync(IPage page, string selector, string key)
    {
        await page.Locator(selector).First.FocusAsync();
        await page.Keyboard.PressAsync(key);
    }

    protected static async Task DrawAsync(IPage page, int picture, double x0, double y0, double x1, double y1, bool release = true)
    {
        double[] r = await page.EvaluateAsync<double[]>($"(() => {{ const b = tonematch.stage.area.getBoundingClientRect(), r = tonematch.stage.rects[{picture}]; return [b.left + r.x, b.top + r.y, r.w, r.h]; }})()");
        await page.Mouse.MoveAsync((float)(r[0] + (x0 * r[2])), (float)(r[1] + (y0 * r[3])));
        await page.Mouse.DownAsync();
        await page.Mouse.MoveAsync((float)(r[0] + (x1 * r[2])), (float)(r[1] + (y1 * r[3])), new() { Steps = 4 });
        if (release)
        {
            await page.Mouse.UpAsync();
        }
    }
}
