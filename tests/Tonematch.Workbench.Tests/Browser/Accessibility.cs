using System.Text.Json;
using Deque.AxeCore.Commons;
using Microsoft.Playwright;
using Xunit;

namespace Tonematch.Workbench.Tests.Browser;

/// <summary>Pages looked at by axe, which goes by WCAG 2.2.</summary>
internal static class Accessibility
{
    // One document without frames is looked at in its own page, with the script put there once: the package's own way opens
    // another page each time, which takes as long as the look itself.
    private const string Look = """
        () => axe.run(document, { resultTypes: ['violations'] }).then(r => ({
            passed: r.passes.length,
            faults: r.violations.map(f => `${f.impact}: ${f.id}: ${f.help}: ${f.nodes.slice(0, 3).map(n => n.html).join(' | ')}`),
        }))
        """;

    private static readonly string s_axe = new BundledAxeScriptProvider().GetScript();

    /// <summary>The page has none of the faults that axe knows.</summary>
    /// <param name="page">The page as it is now.</param>
    /// <param name="state">What it shows, for the failure's message.</param>
    public static async Task HasNoFaultAsync(IPage page, string state)
    {
        Assert.Equal(0, await page.Locator("iframe").CountAsync());
        if (await page.EvaluateAsync<bool>("typeof axe === 'undefined'"))
        {
            await page.EvaluateAsync(s_axe);
        }

        JsonElement result = (await page.EvaluateAsync(Look))!.Value;
        Assert.True(result.GetProperty("passed").GetInt32() > 0, $"{state}: axe looked at nothing");
        Assert.True(result.GetProperty("faults").GetArrayLength() == 0, $"{state}: {string.Join('\n', result.GetProperty("faults").EnumerateArray())}");
    }
}
