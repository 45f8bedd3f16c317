using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Shoot;
using Tonematch.Matching.Tests.Stages;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Shoot;
using Xunit;

namespace Tonematch.Matching.Tests.Shoot;

/// <summary>Two cameras in a room whose light changes twice.</summary>
public class ShootMatchTests
{
    private const double Seconds = 30, Each = 10;

    private sealed record Gains(double R, double G, double B)
    {
        public Gains Times(Gains other) => new(R * other.R, G * other.G, B * other.B);
    }

    private static readonly Picture s_scene = DrawnScene.Chart(0.85);

    // What two lights do to every picture, code values; the first one returns.
    private static readonly Gains[] s_room = [new(1, 1, 1), new(1.12, 1, 0.84), new(1, 1, 1)];

    // What B makes of each light against A: sensors differ, so another light needs another correction.
    private static readonly Gains[] s_own = [new(0.8, 0.8, 0.8), new(0.9, 0.8, 0.73), new(0.8, 0.8, 0.8)];

    [Fact]
    public async Task Match_LightsThatNeedACorrectionEach_FindsThemWithTheirTimes()
    {
        CameraMatch match = await MatchAsync(s_own, "5", "15");
        CameraStates states = Assert.IsType<CameraStates>(match.States);
        Assert.Equal([0, 1, 0], states.Stretches.Select(s => s.State));

        // To the frame: there are two a second.
        Assert.Equal(Each, states.Stretches[1].FromSeconds, 0.3);
        Assert.Equal(2 * Each, states.Stretches[2].FromSeconds, 0.3);
        Assert.True(states.Comparison.PerStateMean < 0.5 * states.Comparison.OneForAllMean, $"{states.Comparison.PerStateMean:0.00} of {states.Comparison.OneForAllMean:0.00}");
        Assert.Contains("The light has 2 states, and b needs a different correction in each", match.Note, StringComparison.Ordinal);
        Assert.Empty(match.Drifts);

        // Each correction is right in its own light.
        Assert.All(states.Corrections, c => Assert.True(Off(c.Chosen.Lut, c.State) < 1.5, $"light {c.State}: {Off(c.Chosen.Lut, c.State):0.00}"));
    }

    [Fact]
    public async Task Match_LightsThatNeedTheSameCorrection_TakesOneForAll()
    {
        CameraMatch match = await MatchAsync([s_own[0], s_own[0], s_own[0]], "5");
        Assert.Null(match.States);
        Assert.True(Off(match.Lut!, 0) < 1.5);
    }

    // A phone's exposure wanders in the clip that is matched, and has settled elsewhere in the next one.
    [Fact]
    public async Task Match_NextClipOfACameraThatWanders_IsFollowedFromItsOwnLevel()
    {
        MadeClipReader reader = new();
        ClipInfo Clip(string path, Func<double, double> gain) => reader.Add(
            MadeClip.Of(path, 640, 360, Seconds) with { FrameRate = new Rational(2, 1) }, t => DrawnScene.Lit(s_scene, gain(t), gain(t), gain(t)));
        ClipInfo[] clips = [Clip("a1", _ => 1), Clip("a2", _ => 1), Clip("b1", t => 0.8 * (1 + (0.12 * Math.Sin(t)))), Clip("b2", _ => 0.66)];
        ShootTimes times = new([Place("a", "a1", 0, Seconds), Place("a", "a2", 40, Seconds), Place("b", "b1", 0, Seconds), Place("b", "b2", 40, Seconds)], [], [], []);
        ShootPlaces places = new([new ShootCamera("a", [clips[0], clips[1]]), new ShootCamera("b", [clips[2], clips[3]])], [.. clips], times, []);
        CameraMatch match = Assert.Single(await ShootMatch.RunAsync(places, Settings(reader, "5", "15"), new Progress<StageProgress>(), TestContext.Current.CancellationToken));
        Assert.Equal([2, 3], match.Drifts.Keys.Order());
        DriftOutcome next = match.Drifts[3];
        Assert.Single(next.Track.Points);
        Assert.True(next.Track.Points[0].Value.Stops < -0.3, $"{next.Track.Points[0].Value.Stops:0.00} stop");
        Assert.True(next.Gain.FollowingMean < 1.5 && next.Gain.FollowingMean < 0.4 * next.Gain.FileAloneMean, $"{next.Gain.FollowingMean:0.0} of {next.Gain.FileAloneMean:0.0}");
        Assert.Matches("^b2's exposure is 0.[3-9][0-9]* stop below that of the clip the correction was made on: an automatic was on. A correction file cannot", DriftWords.Say(next, "b2"));
    }

    [Fact]
    public void PartsOf_ClipThatBeginsInOneStateAndEndsInAnother_HasBothWithItsOwnTimes()
    {
        CameraStates states = new([new(0, 100, 0), new(100, 160, 1), new(160, 300, 0)], [], new StateComparison(CorrectionKind.Gains, 2, 1, true));
        PlacedClip clip = Place("B", "b1", 40, 130);
        Assert.Equal([(0.0, 60.0, 0), (60.0, 120.0, 1), (120.0, 130.0, 0)], states.PartsOf(clip).Select(p => (p.FromSeconds, p.ToSeconds, p.State)));

        // Before everything that was looked at: the nearest state.
        Assert.Equal([(0.0, 20.0, 0)], states.PartsOf(Place("B", "b0", -50, 20)).Select(p => (p.FromSeconds, p.ToSeconds, p.State)));
    }

    private static async Task<CameraMatch> MatchAsync(Gains[] own, params string[] at)
    {
        MadeClipReader reader = new();
        ClipInfo Clip(string path, Func<int, Gains> of) => reader.Add(MadeClip.Of(path, 640, 360, Seconds) with { FrameRate = new Rational(2, 1) }, t =>
        {
            Gains light = of(Math.Min(2, (int)(t / Each)));
            return DrawnScene.Lit(s_scene, light.R, light.G, light.B);
        });
        ClipInfo a = Clip("a", light => s_room[light]), b = Clip("b", light => s_room[light].Times(own[light]));
        ShootTimes times = new([Place("a", "a", 0, Seconds), Place("b", "b", 0, Seconds)], [], [], []);
        ShootPlaces places = new([new ShootCamera("a", [a]), new ShootCamera("b", [b])], [a, b], times, []);
        return Assert.Single(await ShootMatch.RunAsync(places, Settings(reader, at), new Progress<StageProgress>(), TestContext.Current.CancellationToken));
    }

    private static MatchRequest Settings(MadeClipReader reader, params string[] at) => new("", "")
    {
        Reader = reader,
        At = [.. at],
        Method = SamplingMethod.Chart,
        Primary = new("") { ChartCorners = DrawnScene.ChartCorners },
        Secondary = new("") { ChartCorners = DrawnScene.ChartCorners },
        Model = CorrectionKind.Gains,
        LutSize = 9,
    };

    private static PlacedClip Place(string camera, string name, double start, double seconds) =>
        new(new ShootClip(camera, name, seconds), start, 0, 0.001, 0.999, PlacementBasis.Meetings, [], 0);

    private static double Off(Lut3D lut, int light)
    {
        CodeRgb[] things = [CodeRgb.Grey(0.3), CodeRgb.Grey(0.5), new(0.5, 0.35, 0.3), new(0.3, 0.4, 0.55), new(0.35, 0.5, 0.3)];
        return things.Average(c =>
        {
            CodeRgb a = Through(c, s_room[light]), b = Through(a, s_own[light]);
            return DeltaE2000.Between(SignalEncoding.Bt709.ToLab(a), SignalEncoding.Bt709.ToLab(LutInterpolation.Tetrahedral(lut, b).Clamped()));
        });
    }

    private static CodeRgb Through(CodeRgb c, Gains g) => new(c.R * g.R, c.G * g.G, c.B * g.B);
}
