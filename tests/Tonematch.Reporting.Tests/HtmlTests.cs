using CsCheck;
using Xunit;

namespace Tonematch.Reporting.Tests;

public class HtmlTests
{
    private static readonly string[] s_references = ["&amp;", "&lt;", "&gt;", "&quot;", "&#39;"];

    [Fact]
    public void Encode_AnyText_HoldsNothingThatMarkupWouldRead() =>
        Gen.String[Gen.OneOf(Gen.Char, Gen.Int[0, 8].Select(i => "<>&\"'\0\u202E\u2028\uD800"[i]))].Sample(text =>
        {
            string encoded = Html.Encode(text);
            Assert.DoesNotContain(encoded, c => c is '<' or '>' or '"' or '\'' || char.IsControl(c) || c is '\u202E' or '\u2028');
            for (int i = encoded.IndexOf('&', StringComparison.Ordinal); i >= 0; i = encoded.IndexOf('&', i + 1))
            {
                string rest = encoded[i..];
                Assert.True(s_references.Any(r => rest.StartsWith(r, StringComparison.Ordinal)), rest);
            }
        });

    // HTML Living Standard, 'Serializing HTML fragments' and the character references amp, lt, gt, quot, #39.
    [Fact]
    public void Encode_PlainTextOfAnyScript_StaysAsItIs() =>
        Assert.Equal("Töpferin 陶芸家 🏺 a&amp;b", Html.Encode("Töpferin 陶芸家 🏺 a&b"));

    [Fact]
    public void Encode_BidirectionalOverride_IsShownInsteadOfObeyed() =>
        Assert.Equal("clip[U+202E]4pm.exe", Html.Encode("clip\u202E4pm.exe"));

    [Fact]
    public void Of_Values_AreEncodedAndPiecesAreNot()
    {
        Html inner = Html.Of($"<b>{"<i>"}</b>");
        Assert.Equal("<p title=\"&quot;\"><b>&lt;i&gt;</b> 1.25</p>", Html.Of($"<p title=\"{"\""}\">{inner} {1.25}</p>").Markup);
    }
}
