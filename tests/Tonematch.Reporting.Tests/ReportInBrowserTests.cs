using Microsoft.Playwright;
using Tonematch.Checking;
using Tonematch.Testing;
using Tonematch.Workbench.Tests.Browser;
using Xunit;

namespace Tonematch.Reporting.Tests;

/// <summary>The page in the system's Chromium: what people and assistive programs meet.</summary>
public sealed class ReportInBrowserTests : IAsyncLifetime
{
    private static readonly string[] s_places = ["/usr/bin/chromium", "/usr/bin/chromium-browser", "/usr/bin/google-chrome"];

    private readonly TempFolder _folder = new();
    private IPlaywright? _playwright;
    private IBrowser? _browser;

    public async ValueTask InitializeAsync()
    {
        string? chromium = s_places.FirstOrDefault(File.Exists);
        Assert.SkipUnless(chromium is not null, "there is no Chromium on this system");
        _playwright = await Playwright.CreateAsync();
        _browser = await _playwright.Chromium.LaunchAsync(new() { ExecutablePath = chromium, Args = ["--no-sandbox", "--disable-gpu"], Timeout = 120_000 });
    }

    public async ValueTask DisposeAsync()
    {
        if (_browser is not null)
        {
            await _browser.CloseAsync();
        }

        _playwright?.Dispose();
        _folder.Dispose();
    }

    [Theory]
    [InlineData(1400, ColorScheme.Light)]
    [InlineData(360, ColorScheme.Dark)]
    public async Task Report_AtThisWidth_HasNoAccessibilityFaultAndDoesNotScrollSideways(int width, ColorScheme scheme)
    {
        IPage page = await OpenAsync(SmallReport.Model(), width, scheme);
        await Accessibility.HasNoFaultAsync(page, $"{width}, {scheme}");
        Assert.True(await page.EvaluateAsync<int>("document.documentElement.scrollWidth") <= width);
    }

    [Fact]
    public async Task Report_HostileNames_RunNothingAndAskForNothing()
    {
        List<string> heard = [];
        IPage page = await _browser!.NewPageAsync();
        page.Dialog += (_, dialog) => { heard.Add(dialog.Message); _ = dialog.DismissAsync(); };
        page.Console += (_, message) => heard.Add(message.Text);
        page.PageError += (_, error) => heard.Add(error);
        page.Request += (_, request) =>
        {
            if (!request.Url.StartsWith("file:", StringComparison.Ordinal) && !request.Url.StartsWith("data:", StringComparison.Ordinal))
            {
                heard.Add(request.Url);
            }
        };
        await page.GotoAsync(Save(SmallReport.Model(ReportPageTests.Hostile)));
        Assert.Empty(heard);
        Assert.Equal(1, await page.EvaluateAsync<int>("document.scripts.length"));
        Assert.Equal(0, await page.Locator("img:not([src^='data:'])").CountAsync());
    }

    [Fact]
    public async Task Report_Split_FollowsTheArrowKeysAndShowsTheOtherPicture()
    {
        IPage page = await OpenAsync(SmallReport.Model(), 1000, ColorScheme.Light);
        ILocator line = page.Locator("#split input[type=range]");
        await line.FocusAsync();
        await page.Keyboard.PressAsync("ArrowRight");
        await page.Keyboard.PressAsync("ArrowRight");
        Assert.Equal("52%", await page.EvaluateAsync<string>("document.querySelector('.stack').style.getPropertyValue('--at')"));
        Assert.True(await page.EvaluateAsync<bool>("document.querySelector('.stack .over').src === document.getElementById('shot-secondary').src"));
        await page.CheckAsync("#split input[value=shot-primary]");
        Assert.True(await page.EvaluateAsync<bool>("document.querySelector('.stack .over').src === document.getElementById('shot-primary').src"));
    }

    [Fact]
    public async Task Report_WithoutScript_ShowsEveryPictureAndHidesOnlyTheSplit()
    {
        IBrowserContext context = await _browser!.NewContextAsync(new() { JavaScriptEnabled = false });
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(Save(SmallReport.Model()));
        Assert.False(await page.Locator("#split").IsVisibleAsync());
        Assert.True(await page.Locator("#shot-primary").IsVisibleAsync());
        Assert.True(await page.Locator("#shot-corrected").IsVisibleAsync());
        Assert.Equal(9, await page.Locator("main img:visible").CountAsync());
    }

    [Fact]
    public async Task Report_Printed_IsA4AndOfFewPages()
    {
        IPage page = await OpenAsync(SmallReport.Model(), 1000, ColorScheme.Light);
        byte[] pdf = await page.PdfAsync(new() { PreferCSSPageSize = true });
        string text = System.Text.Encoding.Latin1.GetString(pdf);
        // ISO 216: A4 is 210 mm x 297 mm, 595 x 842 points.
        Assert.Matches(@"/MediaBox\s*\[\s*0 0 59[45](\.\d+)? 84[12](\.\d+)?\s*\]", text);
        Assert.InRange(System.Text.RegularExpressions.Regex.Count(text, @"/Type\s*/Page[^s]"), 2, 12);
    }

    [Theory]
    [InlineData(ColorScheme.Light)]
    [InlineData(ColorScheme.Dark)]
    public async Task CheckPlot_InABrowser_KeepsEveryTextInsideAndApart(ColorScheme scheme)
    {
        string path = _folder.PathOf("check.svg");
        CheckResult check = CheckPlotTests.Check(40, i => i < 20 ? 2 : 8) with { Steps = [new MatchStep(20, 22.4, 0.5, 0.2, -0.3)] };
        File.WriteAllText(path, CheckPlot.Svg(check, "2026-05-17 Vernissage, Saal 2, Totale (Kamera A) Karte 1.mp4", "2026-05-17 Vernissage, Saal 2, Nahe am Pult (Kamera B) Karte 1.mp4", "correction.cube", 44));
        IBrowserContext context = await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = 800, Height = 1000 }, ColorScheme = scheme });
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(new Uri(path).AbsoluteUri);
        string[] faults = await page.EvaluateAsync<string[]>("""
            () => {
              const all = [...document.querySelectorAll('text')].map(t => ({ text: t.textContent, box: t.getBoundingClientRect() }));
              const sheet = document.documentElement.getBoundingClientRect();
              const outside = all.filter(t => t.box.left < sheet.left || t.box.right > sheet.right || t.box.bottom > sheet.bottom).map(t => 'outside: ' + t.text);
              const over = [];
              for (let i = 0; i < all.length; i++) for (let j = i + 1; j < all.length; j++) {
                const a = all[i].box, b = all[j].box;
                if (a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 4 && b.top < a.bottom - 4) { over.push('overlap: ' + all[i].text + ' / ' + all[j].text); }
              }
              return outside.concat(over);
            }
            """);
        Assert.True(faults.Length == 0, string.Join('\n', faults));
    }

    private async Task<IPage> OpenAsync(ReportModel model, int width, ColorScheme scheme)
    {
        IBrowserContext context = await _browser!.NewContextAsync(new() { ViewportSize = new() { Width = width, Height = 900 }, ColorScheme = scheme, BypassCSP = true });
        IPage page = await context.NewPageAsync();
        await page.GotoAsync(Save(model));
        return page;
    }

    private string Save(ReportModel model)
    {
        string path = _folder.PathOf("report.html");
        File.WriteAllText(path, ReportPage.Render(model));
        return new Uri(path).AbsoluteUri;
    }
}
