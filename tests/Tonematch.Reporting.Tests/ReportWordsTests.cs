using System.Text.RegularExpressions;
using Xunit;

namespace Tonematch.Reporting.Tests;

/// <summary>The page speaks to a person who films.</summary>
public partial class ReportWordsTests
{
    [Theory]
    [InlineData(@"\bprimary\b")]
    [InlineData(@"\bsecondary\b")]
    [InlineData(@"\bsamples?\b")]
    [InlineData(@"held.out")]
    [InlineData(@"cross-validated")]
    [InlineData(@"one standard error")]
    [InlineData(@"baking error")]
    [InlineData(@"neutrals run backward")]
    [InlineData(@"\bfolded\b")]
    [InlineData(@"nodes a side")]
    [InlineData(@"\bppm\b")]
    public void Page_InAllItsParts_DoesWithoutTheWordsOfEngineers(string word)
    {
        string page = ReportPage.Render(SmallReport.Model());
        string text = Attributes().Replace(Hidden().Replace(page, " "), " $1 ");
        text = Tags().Replace(text, " ");
        int at = Regex.Match(text, word, RegexOptions.IgnoreCase) is { Success: true } m ? m.Index : -1;
        Assert.True(at < 0, at < 0 ? "" : text[Math.Max(0, at - 80)..Math.Min(text.Length, at + 80)]);
    }

    [GeneratedRegex("<(style|script)>.*?</\\1>|src=\"[^\"]*\"|href=\"data:[^\"]*\"", RegexOptions.Singleline)]
    private static partial Regex Hidden();

    // What a screen reader says counts as well.
    [GeneratedRegex("<[^>]*aria-label=\"([^\"]*)\"[^>]*>")]
    private static partial Regex Attributes();

    [GeneratedRegex("<[^>]*>")]
    private static partial Regex Tags();
}
