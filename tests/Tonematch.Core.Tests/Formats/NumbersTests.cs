using System.Globalization;
using Tonematch.Colour;
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
}
