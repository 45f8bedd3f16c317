using System.Security.Cryptography;
using System.Text;
using System.Text.RegularExpressions;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Reporting.Tests;

public partial class ReportPageTests
{
    public const string Hostile = "<script>alert(1)</script>\"onload='alert(2)' --><img src=x onerror=alert(3)>&#x3c;\u202Egpj.mp4";

    [Fact]
    public void Render_HostileFileName_AppearsOnlyEncoded()
    {
        string page = ReportPage.Render(SmallReport.Model(Hostile));
        Assert.DoesNotContain("<script>alert", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<img src=x", page, StringComparison.Ordinal);
        Assert.DoesNotContain("\"onload", page, StringComparison.Ordinal);
        Assert.DoesNotContain("\u202E", page, StringComparison.Ordinal);
        Assert.Contains("&lt;script&gt;alert(1)&lt;/script&gt;", page, StringComparison.Ordinal);
        Assert.Single(ScriptStart().Matches(page));
    }

    [Fact]
    public void Render_Page_RefersToNothingOutside()
    {
        string page = ReportPage.Render(SmallReport.Model());
        foreach (Match reference in Reference().Matches(page))
        {
            string target = reference.Groups[1].Value;
            Assert.True(target.StartsWith('#') || target.StartsWith("data:", StringComparison.Ordinal), target);
        }

        Assert.DoesNotContain("://", page, StringComparison.Ordinal);
        Assert.DoesNotContain("url(", page, StringComparison.Ordinal);
        Assert.DoesNotContain("@import", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Render_CameraThatWanders_ShowsWhatAConstantAndAFollowingCorrectionLeaveOverTime()
    {
        DriftTrack track = new([new(0, new(-0.5, 0, 0)), new(20, new(0.6, 12, 0))]);
        DriftOutcome drift = new(track, new DriftGain(4.2, 1.1, 5, [new(3, 3.1, 1), new(17, 6.3, 1.2)]), 0.9);
        string page = ReportPage.Render(SmallReport.Model() with { Drift = drift }).Replace('\u00a0', ' ');
        Assert.Contains("leaves a mean Delta E of 4.2, and 6.3 at 0:17 of B; one that follows the changes leaves 1.1, and 1.2 there.", page, StringComparison.Ordinal);
        Assert.Contains("What following the changes gains", page, StringComparison.Ordinal);
        Assert.Contains("Exposure moves by 1.10 stop, white balance by 12 mired.", page, StringComparison.Ordinal);
        Assert.DoesNotContain("What following the changes gains", ReportPage.Render(SmallReport.Model()), StringComparison.Ordinal);
    }

    // Content Security Policy Level 3, section 4.2.3: the hash is of the element's own text.
    [Fact]
    public void Render_SecurityPolicy_AllowsExactlyThePagesOwnStyleAndScript()
    {
        string page = ReportPage.Render(SmallReport.Model());
        foreach ((string element, string directive) in new[] { ("style", "style-src"), ("script", "script-src") })
        {
            string text = Regex.Match(page, $"<{element}>(.*?)</{element}>", RegexOptions.Singleline).Groups[1].Value;
            string hash = Convert.ToBase64String(SHA256.HashData(Encoding.UTF8.GetBytes(text)));
            Assert.Contains($"{directive} 'sha256-{hash}'", page, StringComparison.Ordinal);
        }

        Assert.DoesNotContain(" style=", page, StringComparison.Ordinal);
    }

    [Fact]
    public void Render_SameModelTwice_IsTheSamePage() =>
        Assert.Equal(ReportPage.Render(SmallReport.Model()), ReportPage.Render(SmallReport.Model()));

    [Fact]
    public void Render_Ids_AreUniqueAndEveryReferenceHasItsTarget()
    {
        string page = ReportPage.Render(SmallReport.Model());
        string[] ids = [.. Id().Matches(page).Select(m => m.Groups[1].Value)];
        Assert.Equal(ids.Length, ids.Distinct(StringComparer.Ordinal).Count());
        foreach (Match m in LabelledBy().Matches(page))
        {
            Assert.All(m.Groups[1].Value.Split(' '), id => Assert.Contains(id, ids));
        }
    }

    [Fact]
    public void Render_FirstScreen_ShowsPicturesBeforeFigures()
    {
        string page = ReportPage.Render(SmallReport.Model());
        string[] parts = ["<h1>", "Camera B, corrected", "B as recorded", "B begins", "Load the LUT", "<video", "class=\"figures\"", "<main"];
        int[] order = [.. parts.Select(part => page.IndexOf(part, StringComparison.Ordinal))];
        Assert.DoesNotContain(-1, order);
        Assert.Equal(order.Order(), order);
    }

    [Fact]
    public void Render_CutTest_PlaysFromThePageItself()
    {
        string page = ReportPage.Render(SmallReport.Model());
        Assert.Contains("src=\"data:video/mp4;base64,AQID\"", page, StringComparison.Ordinal);
        Assert.Contains("media-src data:", page, StringComparison.Ordinal);
        Assert.DoesNotContain("<video", ReportPage.Render(SmallReport.Model() with { CutTest = default }), StringComparison.Ordinal);
    }

    [Fact]
    public void Render_WhatIsForExperts_IsFolded()
    {
        string page = ReportPage.Render(SmallReport.Model());
        foreach (string id in new[] { "kinds", "safety", "clips", "how" })
        {
            Assert.Contains($"<details class=\"fold\"><summary><h2 id=\"{id}\">", page, StringComparison.Ordinal);
        }

        Assert.Equal(Regex.Count(page, "<details"), Regex.Count(page, "</details>"));
    }

    [Fact]
    public void FirstLook_Details_AreOneSizeAndAroundTheMostCentralThing()
    {
        FirstLook look = SmallReport.Model().FirstLook!;
        Assert.Equal(3, look.Details.Length);
        Assert.All(look.Details, d => Assert.Equal((look.Details[0].Width, look.Details[0].Height), (d.Width, d.Height)));
    }

    [Fact]
    public void Render_ManyPairs_ShowsTheWorstAndSaysHowManyThereAre()
    {
        ReportModel model = SmallReport.Model(pairs: 900);
        string page = ReportPage.Render(model);
        ReportPair worst = model.Pairs.MaxBy(p => p.DeltaEAfter)!;
        string table = page[page.IndexOf("id=\"pairs\"", StringComparison.Ordinal)..];
        string name = worst.Label.Length > 0 ? worst.Label : $"{PlainColourNames.Of(model.Encoding.ToLab(worst.Primary))}, at 1.2 s";
        Assert.Contains($">{name}</th>", table[..table.IndexOf("</tr>\n", table.IndexOf("<tbody>", StringComparison.Ordinal), StringComparison.Ordinal)], StringComparison.Ordinal);
        Assert.Contains("of 900 colours", page, StringComparison.Ordinal);
        Assert.True(page.Length < 1_500_000, $"the page has {page.Length} characters");
    }

    [Fact]
    public void Render_PairsFromAFile_LeavesOutWhatThereIsNot()
    {
        string page = ReportPage.Render(SmallReport.Model() with { Primary = null, Secondary = null, Sync = null, Frames = [], OverTime = null, Safety = null });
        foreach (string id in new[] { "pictures", "time", "sync", "clips", "safety" })
        {
            Assert.DoesNotContain($"id=\"{id}\"", page, StringComparison.Ordinal);
            Assert.DoesNotContain($"href=\"#{id}\"", page, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Render_NoPairs_IsTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => ReportPage.Render(SmallReport.Model() with { Pairs = [] }));

    [GeneratedRegex("""(?:src|href|action|data|poster|cite)="([^"]*)""")]
    private static partial Regex Reference();

    [GeneratedRegex("<script", RegexOptions.IgnoreCase)]
    private static partial Regex ScriptStart();

    [GeneratedRegex("""\sid="([^"]*)""")]
    private static partial Regex Id();

    [GeneratedRegex("aria-labelledby=\"([^\"]*)")]
    private static partial Regex LabelledBy();
}
