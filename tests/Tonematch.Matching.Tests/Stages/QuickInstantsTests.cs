using CsCheck;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

public class QuickInstantsTests
{
    private static readonly FrameTimes s_primary = Times(60, 25, 50), s_secondary = Times(60, 30, 48);

    [Fact]
    public void Choose_Always_TakesAKeyframeOfTheOneNearAKeyframeOfTheOther()
    {
        double[] middles = [10, 30, 50];
        double[] chosen = QuickInstants.Choose(s_primary, 1, s_secondary, 1, t => t + 0.4, middles, 3);

        // Every frame of the window tried: none is cheaper.
        Assert.Equal(middles.Select(m => Enumerable.Range(0, 151).Min(i => Cost(m - 3 + (i / 25.0), 0.4))), chosen.Select(t => Cost(t, 0.4)));
    }

    [Fact]
    public void Choose_AnyWindows_StaysInThemAndRises() => Gen.Select(Gen.Double[0.05, 3], Gen.Double[-5, 5]).Sample((reach, offset) =>
    {
        double[] middles = [8, 20, 33.3, 51];
        double[] chosen = QuickInstants.Choose(s_primary, 1, s_secondary, 4, t => t + offset, middles, reach);
        Assert.Equal(middles.Length, chosen.Length);
        Assert.All(chosen.Zip(middles), c => Assert.InRange(c.First, c.Second - reach, c.Second + reach));
    });

    private static int Cost(double t, double offset)
    {
        int p = s_primary.NearestTo(t), s = s_secondary.NearestTo(t + offset);
        return (p % 50) + (s % 48) + 2;
    }

    private static FrameTimes Times(double seconds, int rate, int keyEvery) => new(
        [.. Enumerable.Range(0, (int)(seconds * rate)).Select(i => (double)i / rate)],
        [.. Enumerable.Range(0, (int)(seconds * rate)).Select(i => i % keyEvery == 0)]);
}
