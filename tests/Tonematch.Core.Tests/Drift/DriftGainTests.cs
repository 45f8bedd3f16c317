using CsCheck;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Testing.Simulation;
using Xunit;

namespace Tonematch.Core.Tests.Drift;

public class DriftGainTests
{
    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    // By hand: the second instant is a stop too light. The following correction leaves nothing, and a constant one that is
    // right at the first leaves at the second what a stop makes of these colours.
    [Fact]
    public void Of_CourseThatIsRight_LeavesNothingWhereAConstantCorrectionDoes()
    {
        CodeRgb[] things = [new(0.3, 0.3, 0.3), new(0.5, 0.3, 0.2), new(0.2, 0.3, 0.5)];
        DriftInstant At(double t) => new(t, [.. things.Select((c, i) => new DriftSample(i, c, new DriftValue(-t, 0, 0).TakeOutOf(c, s_bt709)))]);
        DriftInstant[] instants = [At(0), At(1)];
        DriftTrack track = new([new(0, default), new(1, new(1, 0, 0))]);
        DriftGain gain = DriftGain.Of(instants, s_bt709, s_bt709, c => c, c => c, track);
        Assert.Equal(0, gain.FollowingMean, 1e-6);
        Assert.Equal(0, gain.OverTime[0].Constant, 1e-6);
        Assert.True(gain.OverTime[1].Constant > 8, $"{gain.OverTime[1].Constant}");
        Assert.Equal(gain.OverTime[1].Constant / 2, gain.ConstantMean, 1e-9);
        Assert.Equal(gain.ConstantMean, gain.FileAloneMean, 1e-9);
        Assert.True(gain.IsWorthFollowing);
    }

    [Theory]
    [InlineData(10, 3, 9, true)]
    [InlineData(10, 9.8, 11, false)]
    [InlineData(19, 13, 16, false)] // less than constant, but what is left is another colour
    public void IsWorthFollowing_OnlyWhereItLeavesClearlyLessAndLittleEnough(double constant, double following, double alone, bool isWorth) =>
        Assert.Equal(isWorth, new DriftGain(constant, following, alone, []).IsWorthFollowing);

    [Fact]
    public void Of_CourseThatIsLevel_GainsNothing()
    {
        DriftGain gain = DriftGain.Of(MadeDrift.Instants(20, 1, null, 1), s_bt709, s_bt709, MadeDrift.Correct, MadeDrift.Correct, new([new(0, default)]));
        Assert.Equal(gain.ConstantMean, gain.FollowingMean, 1e-6);
        Assert.False(gain.IsWorthFollowing);
    }

    [Fact]
    public void Of_AnyClip_HasAFewPointsWhoseMeanIsTheMean() => Gen.Int[1, 900].Sample(
        count =>
        {
            DriftInstant[] instants = [.. Enumerable.Range(0, count).Select(t => new DriftInstant(t, [new DriftSample(0, CodeRgb.Grey(0.4), CodeRgb.Grey(0.4 + (0.3 * t / count)))]))];
            DriftGain gain = DriftGain.Of(instants, s_bt709, s_bt709, c => c, c => c, new([new(0, default)]));
            Assert.InRange(gain.OverTime.Length, 1, DriftGain.MostPoints);

            // Points hold one instant more or less than each other.
            Assert.Equal(gain.ConstantMean, gain.OverTime.Average(p => p.Constant), (0.05 * gain.ConstantMean) + 1e-9);
            Assert.True(gain.OverTime.Zip(gain.OverTime.Skip(1)).All(p => p.Second.Seconds > p.First.Seconds));
        },
        iter: 20);

    [Fact]
    public void Of_NoColours_IsTheCallersMistake() => Assert.Throws<ArgumentException>(() =>
        DriftGain.Of([new DriftInstant(0, [])], s_bt709, s_bt709, c => c, c => c, new([new(0, default)])));
}
