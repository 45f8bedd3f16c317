using CsCheck;
using Tonematch.Numerics;
using Xunit;

namespace Tonematch.Core.Tests.Numerics;

public class RobustLineTests
{
    private const double Noise = 0.01;

    private static readonly Gen<(double Slope, double Value, int Count, int Seed)> s_line =
        Gen.Select(Gen.Double[-2, 2], Gen.Double[-5, 5], Gen.Int[20, 60], Gen.Int[0, 100_000]);

    // Three points of ten are wrong by 1 to 50, to either side: a hundred to five thousand times what the others scatter.
    [Fact]
    public void Fit_ThreePointsOfTenWrong_IsTheLineOfTheOthers() => s_line.Sample(line =>
    {
        (double[] x, double[] y) = Points(line, 0.3);
        RobustLine found = RobustLine.Fit(x, y, [.. x.Select(_ => 1.0)], withSlope: true, smallestScale: Noise / 2);
        Assert.Equal(line.Slope, found.Slope, Noise);
        Assert.Equal(line.Value + (line.Slope * 5), found.ValueAt(5), 2 * Noise);
    });

    [Fact]
    public void Fit_SlopeHeldAtZero_IsARobustMean() => s_line.Sample(line =>
    {
        (double[] x, double[] y) = Points((0, line.Value, line.Count, line.Seed), 0.3);
        RobustLine found = RobustLine.Fit(x, y, [.. x.Select(_ => 1.0)], withSlope: false, smallestScale: Noise / 2);
        Assert.Equal(0, found.Slope);
        Assert.Equal(line.Value, found.Value, Noise);
    });

    private static (double[] X, double[] Y) Points((double Slope, double Value, int Count, int Seed) line, double wrongShare)
    {
        Random random = new(line.Seed);
        int wrong = (int)(wrongShare * line.Count);
        int[] order = [.. Enumerable.Range(0, line.Count)];
        random.Shuffle(order);
        double[] x = [.. Enumerable.Range(0, line.Count).Select(i => 10.0 * i / (line.Count - 1))];
        double[] y = [.. x.Select((a, i) => line.Value + (line.Slope * a) + (Noise * ((2 * random.NextDouble()) - 1))
            + (order[i] < wrong ? (random.Next(2) == 0 ? -1 : 1) * (1 + (49 * random.NextDouble())) : 0))];
        return (x, y);
    }
}
