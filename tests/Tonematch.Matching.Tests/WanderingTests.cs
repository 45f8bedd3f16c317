using Tonematch.Corrections;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Tests.Stages;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests;

/// <summary>A camera B that sets its exposure by itself, from the clips to what is said of it.</summary>
public class WanderingTests
{
    private const double Seconds = 12;

    private static readonly Picture s_scene = DrawnScene.Chart();

    // Both see the light change meanwhile.
    private static double RoomGain(double t) => Math.Pow(2, t is > 4 and < 8 ? 0.45 * 0.25 : 0);

    private static double OwnGain(double t) => 0.8 * Math.Pow(2, 0.45 * 0.4 * Math.Sin(2 * Math.PI * t / 8));

    [Fact]
    public async Task Match_ExposureOfBWanders_FollowsItAndSaysSoFirst()
    {
        MatchOutcome outcome = await MatchAsync(t => RoomGain(t) * OwnGain(t - 0.5));
        DriftOutcome drift = Assert.IsType<DriftOutcome>(outcome.Drift);

        // Code values move by 2^0.36 from the lowest to the highest. With L = ((V + 0.099) / 1.099)^(1 / 0.45) (BT.709) the light
        // moves by V / (V + 0.099) / 0.45 times as many stops: 1.34 to 1.95 for V from 0.15 to 0.7.
        Assert.InRange(drift.Track.RangeStops, 0.48, 0.71);
        Assert.True(drift.Gain.FollowingMean < 0.5 * drift.Gain.ConstantMean, $"{drift.Gain.FollowingMean:0.00} of {drift.Gain.ConstantMean:0.00}");
        Assert.True(outcome.OverTime!.All.Mean < 0.5 * drift.Gain.FileAloneMean, $"{outcome.OverTime.All.Mean:0.00} of {drift.Gain.FileAloneMean:0.00}");
        Assert.StartsWith("b's exposure wanders by", outcome.Warnings[0], StringComparison.Ordinal);
        Assert.Contains("A correction file cannot follow that", outcome.Warnings[0], StringComparison.Ordinal);
        Assert.DoesNotContain(outcome.Warnings, w => w.StartsWith("The exposure of one camera wanders", StringComparison.Ordinal));
        Assert.StartsWith("Exposure: by hand on both cameras", outcome.NextTime[0], StringComparison.Ordinal);
    }

    [Fact]
    public async Task Match_OnlyTheLightOfTheRoomChanges_FindsNoCourse()
    {
        MatchOutcome outcome = await MatchAsync(t => 0.8 * RoomGain(t));
        Assert.Null(outcome.Drift);
        Assert.NotNull(outcome.OverTime);
    }

    [Fact]
    public async Task Check_ThroughTheCorrection_SaysWhatWandersAndTakesAGivenCourseOut()
    {
        MatchRequest request = Request(OwnGain);
        CheckOutcome found = await CheckJob.RunAsync(request, c => new(c.R / 0.8, c.G / 0.8, c.B / 0.8), 3, everyFrame: true, course: null, new Progress<StageProgress>(), TestContext.Current.CancellationToken);
        DriftOutcome drift = Assert.IsType<DriftOutcome>(found.Drift);
        Assert.StartsWith("b's exposure wanders by", found.Warnings[0], StringComparison.Ordinal);
        CheckOutcome followed = await CheckJob.RunAsync(request, c => new(c.R / 0.8, c.G / 0.8, c.B / 0.8), 3, everyFrame: true, drift.Track, new Progress<StageProgress>(), TestContext.Current.CancellationToken);
        Assert.True(followed.Result.All.Mean < 0.5 * found.Result.All.Mean, $"{followed.Result.All.Mean:0.00} of {found.Result.All.Mean:0.00}");
        Assert.Null(followed.Drift);
    }

    private static Task<MatchOutcome> MatchAsync(Func<double, double> gain) =>
        MatchJob.MatchAsync(Request(gain), new Progress<StageProgress>(), TestContext.Current.CancellationToken);

    // B begins half a second after A, so that its own time line is used where it counts. The chart is marked: nothing is searched for.
    private static MatchRequest Request(Func<double, double> gain)
    {
        MadeClipReader reader = new();
        void Add(string path, Func<double, double> of) => reader.Add(
            MadeClip.Of(path, 640, 360, Seconds) with { FrameRate = new Rational(5, 1) }, t => DrawnScene.Lit(s_scene, of(t), of(t), of(t)));
        Add("a", t => 0.8 * RoomGain(t));
        Add("b", t => 0.8 * gain(t + 0.5));
        return new("a", "b")
        {
            Reader = reader,
            OffsetSeconds = -0.5,
            At = ["2", "6"],
            Method = SamplingMethod.Chart,
            Primary = new("a") { ChartCorners = DrawnScene.ChartCorners },
            Secondary = new("b") { ChartCorners = DrawnScene.ChartCorners },
            Model = CorrectionKind.Gains,
            LutSize = 9,
        };
    }
}
