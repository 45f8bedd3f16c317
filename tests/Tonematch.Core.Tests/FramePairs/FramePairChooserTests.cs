using CsCheck;
using Tonematch.FramePairs;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Core.Tests.FramePairs;

public class FramePairChooserTests
{
    [Theory]
    [InlineData(25, 30000 / 1001.0)]
    [InlineData(24000 / 1001.0, 50)]
    [InlineData(60000 / 1001.0, 24000 / 1001.0)]
    public void Choose_UnlikeRates_TakesTheNearestFrameAndStatesTheError(double primaryRate, double secondaryRate)
    {
        SyncFound sync = SyncFound.Given(3.217, 40);
        FrameLook[] primary = Clip(primaryRate, 30), secondary = Clip(secondaryRate, 40);
        FramePairChoice choice = FramePairChooser.Choose(primary, secondary, sync);
        Assert.Equal(12, choice.Pairs.Length);
        Assert.All(choice.Pairs, p =>
        {
            double wanted = p.Primary.Seconds + 3.217 + (40e-6 * p.Primary.Seconds);
            Assert.Equal(secondary.Min(s => Math.Abs(s.Seconds - wanted)), Math.Abs(p.TimeErrorSeconds), 1e-12);
            Assert.Equal(p.Secondary.Seconds - wanted, p.TimeErrorSeconds, 1e-12);
            Assert.True(Math.Abs(p.TimeErrorSeconds) <= 0.5 / secondaryRate + 1e-9);
        });
    }

    [Fact]
    public void Choose_VariableRate_PairsByPresentationTimeNotByNumber() =>
        Gen.Int[1, 1000].Sample(seed =>
        {
            Random random = new(seed);
            double t = 0;
            FrameLook[] secondary = [.. Enumerable.Range(0, 900).Select(_ => Look(t += 0.01 + (0.06 * random.NextDouble())))];
            FramePairChoice choice = FramePairChooser.Choose(Clip(25, 20), secondary, SyncFound.Given(1.5));
            Assert.NotEmpty(choice.Pairs);
            Assert.All(choice.Pairs, p => Assert.Equal(secondary.Min(s => Math.Abs(s.Seconds - p.Primary.Seconds - 1.5)), Math.Abs(p.TimeErrorSeconds), 1e-12));
        }, iter: 20);

    [Fact]
    public void Choose_BlurredMovingClippedDark_AreLeftOutAndCounted()
    {
        FrameLook[] primary = [.. Clip(25, 10).Select((f, k) => (k % 5) switch
        {
            1 => f with { Sharpness = 0.01 },
            2 => f with { Motion = 0.2 },
            3 => f with { ClippedShare = 0.5 },
            4 => f with { DarkShare = 0.9 },
            _ => f,
        })];
        FramePairChoice choice = FramePairChooser.Choose(primary, Clip(25, 10), SyncFound.Given(0), new FramePairOptions { Count = 4 });
        Assert.All(choice.Pairs, p => Assert.Equal(0, Math.Round(p.Primary.Seconds * 25) % 5));
        foreach (string reason in new[] { "blurred", "moving", "clipped", "dark" })
        {
            Assert.Equal(50, choice.Rejected[reason]);
        }

        Assert.Equal(250, choice.Pairs.Length + choice.Rejected.Values.Sum());
        Assert.Empty(choice.Warnings);
    }

    [Fact]
    public void Choose_ThreeLights_CoversEachEvenWhenOneIsShort()
    {
        static FrameLook Lit(FrameLook f) => f.Seconds is >= 40 and < 42 ? f with { MeanLightness = 20 } : f.Seconds >= 50 ? f with { MeanB = 25 } : f;
        FrameLook[] primary = [.. Clip(25, 60).Select(Lit)], secondary = [.. Clip(25, 60).Select(Lit)];
        FramePairChoice choice = FramePairChooser.Choose(primary, secondary, SyncFound.Given(0));
        Assert.Equal(3, choice.LightStates);
        Assert.Equal([1, 2, 3], choice.Pairs.Select(p => p.LightState).Distinct());
    }

    [Fact]
    public void Choose_OneLight_SpreadsOverTheOverlap()
    {
        FramePairChoice choice = FramePairChooser.Choose(Clip(25, 60), Clip(25, 60), SyncFound.Given(10));
        double[] times = [.. choice.Pairs.Select(p => p.Primary.Seconds)];
        Assert.True(times[0] < 10 && times[^1] > 40, "both ends of 0..50 s are covered");
        Assert.All(times.Skip(1).Zip(times, (a, b) => a - b), gap => Assert.InRange(gap, 0.5, 10));
    }

    [Fact]
    public void Choose_NoFitMoment_TakesTheLeastBadAndWarns()
    {
        FrameLook[] dark = [.. Clip(25, 10).Select(f => f with { DarkShare = 0.99 })];
        FramePairChoice choice = FramePairChooser.Choose(dark, Clip(25, 10), SyncFound.Given(0));
        Assert.NotEmpty(choice.Pairs);
        Assert.Single(choice.Warnings);
    }

    [Fact]
    public void Choose_NothingShared_GivesNoPairAndSaysSo()
    {
        FramePairChoice choice = FramePairChooser.Choose(Clip(25, 10), Clip(25, 10), SyncFound.Given(100));
        Assert.Empty(choice.Pairs);
        Assert.Equal(250, choice.Rejected["outside the overlap"]);
        Assert.Contains("share no moment", Assert.Single(choice.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void Choose_TimesByHand_TakesExactlyThese()
    {
        FramePairOptions options = new() { AtSeconds = [2.01, 7.49, 99] };
        FramePairChoice choice = FramePairChooser.Choose(Clip(25, 10), Clip(50, 12), SyncFound.Given(1), options);
        Assert.Equal([2.0, 7.48], choice.Pairs.Select(p => Math.Round(p.Primary.Seconds, 6)));
        Assert.Contains("99.000", Assert.Single(choice.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void Choose_TimesThatDoNotRise_AreTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => FramePairChooser.Choose([Look(1), Look(1)], Clip(25, 1), SyncFound.Given(0)));

    private static FrameLook[] Clip(double rate, double seconds) =>
        [.. Enumerable.Range(0, (int)(rate * seconds)).Select(k => Look(k / rate))];

    private static FrameLook Look(double seconds) => new(seconds, false, 1, 0.005, 0.01, 0.02, 50, 0, 0);
}
