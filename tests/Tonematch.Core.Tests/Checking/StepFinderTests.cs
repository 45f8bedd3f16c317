using CsCheck;
using Tonematch.Checking;
using Xunit;

namespace Tonematch.Core.Tests.Checking;

public class StepFinderTests
{
    // The best single split, by the definition of squared error and nothing else.
    [Fact]
    public void Find_SeriesWithOneLargeStep_SplitsWhereTheSquaredErrorIsLeast() =>
        Gen.Select(Gen.Int[5, 60], Gen.Int[5, 60], Gen.Double[0.5, 3], Gen.Int[0, 1_000_000]).Sample((before, after, size, seed) =>
        {
            Random random = new(seed);
            double[][] series = [.. Enumerable.Range(0, before + after).Select(i => new[] { 7 + (i < before ? 0 : size) + (0.05 * random.NextDouble()), 3 })];
            int best = Enumerable.Range(2, series.Length - 3).MinBy(at => Error(series[..at]) + Error(series[at..]));
            Assert.Equal([best], StepFinder.Find(series, 0.2));
        });

    [Fact]
    public void Find_AnySeries_KeepsStepsAndEndsAsFarApartAsAsked() => Gen.Select(Gen.Int[1, 12], Gen.Int[0, 1_000_000]).Sample((shortest, seed) =>
    {
        Random random = new(seed);
        double level = 0;
        double[][] series = [.. Enumerable.Range(0, 120).Select(i => new[] { level = random.Next(9) == 0 ? random.NextDouble() : level })];
        int[] edges = [0, .. StepFinder.Find(series, 0.1, shortest), series.Length];
        Assert.All(edges.Zip(edges.Skip(1)), e => Assert.True(e.Second - e.First >= shortest));
    });

    private static double Error(double[][] stretch) =>
        Enumerable.Range(0, stretch[0].Length).Sum(c => stretch.Sum(v => Math.Pow(v[c] - stretch.Average(w => w[c]), 2)));
}
