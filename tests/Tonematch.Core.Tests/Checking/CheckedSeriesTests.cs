using Tonematch.Checking;
using Tonematch.Colour;
using Xunit;

namespace Tonematch.Core.Tests.Checking;

public class CheckedSeriesTests
{
    [Fact]
    public void Evaluate_ManyMoreInstantsThanAreKept_GivesTheFiguresOfAll()
    {
        const int count = (2 * CheckedSeries.MostKept) + 100;
        CheckedInstant[] instants = [.. Enumerable.Range(0, count).Select(Instant)];
        CheckedSeries series = new(SignalEncoding.Bt709);
        foreach (CheckedInstant instant in instants)
        {
            series.Add(instant);
        }

        CheckResult result = series.Evaluate(3);
        Assert.Equal(count, result.OverTime.Length);
        Assert.Equal(result.OverTime.Average(i => i.DeltaE.Mean), result.All.Mean, 0.01);
        Assert.InRange(result.All.Count, CheckedSeries.MostKept / 2, 2 * CheckedSeries.MostKept);
    }

    [Fact]
    public void Add_InstantBeforeTheLast_IsRefused()
    {
        CheckedSeries series = new(SignalEncoding.Bt709);
        series.Add(Instant(2));
        Assert.Throws<ArgumentException>(() => series.Add(Instant(1)));
    }

    private static CheckedInstant Instant(int i)
    {
        double wave = 0.4 + (0.1 * Math.Sin(i * 0.7));
        return new CheckedInstant(i / 25.0, i / 25.0, [new(new CodeRgb(wave, 0.4, 0.3), new CodeRgb(wave + 0.02, 0.41, 0.3)), new(new CodeRgb(0.2, 0.3, 0.5), new CodeRgb(0.2, 0.3, 0.52))]);
    }
}
