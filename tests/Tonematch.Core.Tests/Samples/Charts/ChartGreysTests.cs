using CsCheck;
using Tonematch.Colour;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

public class ChartGreysTests
{
    private static readonly ChartReference s_chart = ChartReference.Chart24;

    // Gains on light of a chart with its published colours are what was put in, whatever the exposure.
    [Fact]
    public void CastOf_GainsOnLight_AreFoundAgain() => Gen.Double[-0.4, 0.4].Array[2].Select(Gen.Double[-1, 0]).Sample(
        (casts, exposure) =>
        {
            (double Red, double Blue) found = ChartGreys.CastOf(Shot(exposure + casts[0], exposure, exposure + casts[1]), s_chart)!.Value;
            Assert.Equal(casts[0], found.Red, 0.02);
            Assert.Equal(casts[1], found.Blue, 0.02);
        },
        iter: 20);

    [Fact]
    public void CastOf_GreysThatCannotBeUsed_SayNothing()
    {
        ChartMeasurement chart = Shot(0, 0, 0);
        Assert.NotNull(ChartGreys.CastOf(chart, s_chart));
        Assert.Null(ChartGreys.CastOf(chart with { Patches = [.. chart.Patches.Select(p => p.Index >= 18 ? p with { Fault = PatchFault.Clipped } : p)] }, s_chart));
    }

    private static ChartMeasurement Shot(double red, double green, double blue)
    {
        SignalEncoding e = SignalEncoding.Srgb;
        CodeRgb Camera(int index, CodeRgb c) => new(Lit(c.R, red), Lit(c.G, green), Lit(c.B, blue));
        double Lit(double code, double stops) => e.FromScene(e.ToScene(code) * Math.Pow(2, stops - 0.5));
        return DrawnChart.Measured(s_chart, Camera);
    }
}
