using System.Globalization;
using Tonematch.Colour;
using Tonematch.Core.Tests.Luts.Tables;
using Tonematch.Corrections;
using Tonematch.Formats;
using Xunit;

namespace Tonematch.Core.Tests.Formats;

public class NumbersTests
{
    private static readonly Correction[] s_corrections =
    [
        new IdentityCorrection(SignalEncoding.Bt709, SignalEncoding.Srgb),
        new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.1, 0.987654321012345, 0.8),
        new LiftGammaGainCorrection(SignalEncoding.Hlg, SignalEncoding.Bt709, new(-0.02, 0.01, 0.03), new(1.1, 0.9, 1.05), new(1.1, 0.95, 1)),
        new CdlCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, new(1.1, 0.9, 1.05), new(0.02, -0.03, 1e-7), new(0.9, 1.1, 1.2), 0.8),
        new MatrixCorrection(SignalEncoding.DisplayP3, SignalEncoding.Bt2020, new Matrix3(0.9, 0.08, 0.02, -0.05, 1.02, 0.03, 0.01, -0.1, 1.12)) { Veil = new SceneRgb(0.01, -0.02, 0.03) },
    ];

    [Fact]
    public void Json_WrittenThenRead_IsTheSameCorrection()
    {
        foreach (Correction correction in s_corrections)
        {
            Assert.Equal(correction, Read(Json(correction)));
        }
    }

    [Fact]
    public void Text_EachKind_HoldsEveryNumberAndTheFormula()
    {
        foreach (Correction correction in s_corrections)
        {
            using StringWriter writer = new(CultureInfo.InvariantCulture);
            NumbersText.Write(writer, correction);
            string text = writer.ToString();
            Assert.Contains("result", text, StringComparison.Ordinal);
            Assert.All(correction.Numbers, n => Assert.Matches(
                $@"(?m)^{n.Name.Replace(".", @"\.", StringComparison.Ordinal)} *= {n.Value.ToString(n.Value == 1e-7 ? "F7" : "R", CultureInfo.InvariantCulture)}$", text));
        }
    }

    [Theory]
    [InlineData("", "line 1: this is not well-formed JSON")]
    [InlineData("{\n\"schema\": }", "line 2: this is not well-formed JSON")]
    [InlineData("[]", "not a correction in numbers")]
    [InlineData("{\"schema\": \"other\"}", "not a correction in numbers")]
    [InlineData("{\"schema\": \"tonematch-correction/1\"}", "'secondary_encoding' is missing")]
    [InlineData("{\"schema\": \"tonematch-correction/1\", \"kind\": \"gains\", \"secondary_encoding\": \"bt700\", \"primary_encoding\": \"bt709\"}", "secondary_encoding 'bt700' is not known")]
    [InlineData("{\"schema\": \"tonematch-correction/1\", \"kind\": \"gains\", \"secondary_encoding\": \"bt709\", \"primary_encoding\": \"bt709\", \"numbers\": {\"gain.r\": \"1\"}}", "the number 'gain.r' is missing")]
    [InlineData("{\"schema\": \"tonematch-correction/1\", \"kind\": \"lattice\", \"secondary_encoding\": \"bt709\", \"primary_encoding\": \"bt709\"}", "not defined by numbers alone")]
    [InlineData("{\"schema\": \"\\ud800\"}", "not valid Unicode")]
    public void Json_Broken_IsRefusedWithTheFault(string text, string fault)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => Read(text));
        Assert.StartsWith("a.json", e.Message, StringComparison.Ordinal);
        Assert.Contains(fault, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Json_NumbersOutOfRange_AreRefused() => Assert.Contains(
        "power",
        Assert.Throws<UnusableInputException>(() => Read(Json(s_corrections[3]).Replace("\"power.r\": 0.9", "\"power.r\": -1", StringComparison.Ordinal))).Message,
        StringComparison.Ordinal);

    [Fact]
    public void Json_KindThatNumbersDoNotDefine_IsWrittenWithAPointerToTheTables() => Assert.Contains(
        ".cube", Json(new FunctionCorrection(c => c)), StringComparison.Ordinal);

    private static string Json(Correction correction)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        NumbersJson.Write(text, correction);
        return text.ToString();
    }

    private static Correction Read(string text) => NumbersJson.Read(new StringReader(text), "a.json");
}
