using CsCheck;
using Tonematch.Colour;
using Tonematch.Fitting.Solvers;
using Xunit;

namespace Tonematch.Core.Tests.Fitting.Solvers;

public class PerceivedDifferenceTests
{
    private static readonly Gen<Lab> s_colour = Gen.Select(Gen.Double[5, 95], Gen.Double[5, 80], Gen.Double[0, 2 * Math.PI])
        .Select((l, c, h) => new Lab(l, c * Math.Cos(h), c * Math.Sin(h)));

    private static readonly Gen<Lab> s_step = Gen.Select(Gen.Double[-1, 1], Gen.Double[-1, 1], Gen.Double[-1, 1])
        .Where((l, a, b) => (l * l) + (a * a) + (b * b) is > 0.2 and < 1).Select((l, a, b) => new Lab(l, a, b));

    [Fact]
    public void Metric_AnyTwoColours_ResidualIsAsLongAsTheDifference() => Gen.Select(s_colour, s_step, Gen.Double[0.01, 10]).Sample((wanted, step, size) =>
    {
        double[] residual = new double[3], metric = new double[9];
        double deltaE = PerceivedDifference.Metric(wanted, Moved(wanted, step, size), residual, metric);
        Assert.Equal(deltaE, Math.Sqrt(residual.Sum(r => r * r)), 1e-9 * Math.Max(1, deltaE));
    });

    // The weighting functions are held, so the derivative is exact at 0 and right to first order in the difference: at a
    // hundredth of a unit the two may differ by some hundredths of what they are (about 1).
    [Fact]
    public void Metric_NearAGoodFit_IsTheResidualsNumericDerivative() => Gen.Select(s_colour, s_step).Sample((wanted, step) =>
    {
        const double h = 1e-4;
        Lab actual = Moved(wanted, step, 0.01);
        double[] residual = new double[3], metric = new double[9], up = new double[3], down = new double[3], unused = new double[9];
        PerceivedDifference.Metric(wanted, actual, residual, metric);
        for (int k = 0; k < 3; k++)
        {
            Lab axis = new(k == 0 ? 1 : 0, k == 1 ? 1 : 0, k == 2 ? 1 : 0);
            PerceivedDifference.Metric(wanted, Moved(actual, axis, h), up, unused);
            PerceivedDifference.Metric(wanted, Moved(actual, axis, -h), down, unused);
            for (int r = 0; r < 3; r++)
            {
                Assert.Equal((up[r] - down[r]) / (2 * h), metric[(3 * r) + k], 0.03);
            }
        }
    });

    private static Lab Moved(Lab from, Lab step, double size) => new(from.L + (size * step.L), from.A + (size * step.A), from.B + (size * step.B));
}
