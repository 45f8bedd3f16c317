using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Fitting;
using Tonematch.Formats;
using Tonematch.Formats.Timelines;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Shoot;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Tests;
using Tonematch.Media.Clips;
using Tonematch.Samples;
using Tonematch.Shoot;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Exports.Tests;

public sealed class ShootFilesTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // B's clip runs from 10 to 70 s of the clock: two lights of its own, and a third that has the first one's correction.
    [Fact]
    public void Write_CameraWithALightEach_NamesFilesByCameraAndLightWithTheirTimes()
    {
        (ShootPlaces places, CameraMatch match) = Shoot();
        Directory.CreateDirectory(_folder.PathOf("b"));
        File.WriteAllText(_folder.PathOf("b", "correction.cube"), "LUT_3D_SIZE 2\n");
        ShootFiles.WriteBeside(match, places, _folder.PathOf("b"), force: false);
        ShootFiles.Write(places, _folder.FullPath, force: false, [(match, _folder.PathOf("b"))]);

        Assert.True(File.Exists(_folder.PathOf("b", "b-light-1.cube")) && File.Exists(_folder.PathOf("b", "b-light-2.cube")));
        Assert.False(File.Exists(_folder.PathOf("b", "b-light-3.cube")));
        string[] lines = File.ReadAllLines(_folder.PathOf("corrections.csv"));
        Assert.Equal(
            ["camera,clip,from,to,correction,drift,note", "b,b1.mp4,0,20,b/b-light-1.cube,,light 1. A note.", "b,b1.mp4,20,40,b/b-light-2.cube,,light 2. A note.", "b,b1.mp4,40,60,b/b-light-1.cube,,light 3. A note.", "b,b2.mp4,0,5,b/b-light-1.cube,b/drift-b2.csv,light 3. A note."],
            lines);

        using StreamReader text = new(_folder.PathOf("timeline.otio"));
        TimelineClip clip = OtioFormat.Read(text, "timeline.otio").Tracks[1].Clips[0];
        Assert.Equal([(0.0, 20.0, "b/b-light-1.cube"), (20.0, 40.0, "b/b-light-2.cube"), (40.0, 60.0, "b/b-light-1.cube")], clip.States.Select(s => (s.FromSeconds, s.ToSeconds, s.Correction)));
        using StreamReader course = new(_folder.PathOf("b", "drift-b2.csv"));
        Assert.Equal(0.5, DriftCsv.Read(course, "drift-b2.csv").At(5).Stops, 1e-6);
        Assert.Contains("* CORRECTION FROM 00:00:20:00: b/b-light-2.cube", File.ReadAllText(_folder.PathOf("b.edl")), StringComparison.Ordinal);
    }

    // What people pick by its name must lead all the way to the first camera, and each clip's drift bear its clip's name.
    [Fact]
    public void Write_CameraMatchedThroughAnother_KeepsTheHalfWayFilesApart()
    {
        (ShootPlaces places, CameraMatch match) = Shoot();
        DriftOutcome drift = match.Drifts[2];
        match = match with { Through = "c", States = null, Lut = Lut3D.Identity(2), Drifts = match.Drifts.Add(1, drift) };
        Assert.Equal(_folder.PathOf("b", "match-to-c"), ShootFiles.MatchFolderOf(match, _folder.PathOf("b")));
        ShootFiles.WriteBeside(match, places, _folder.PathOf("b"), force: false);
        ShootFiles.Write(places, _folder.FullPath, force: false, [(match, _folder.PathOf("b"))]);
        Assert.Equal(["correction.cube", "drift-b1.csv", "drift-b2.csv"], Directory.GetFiles(_folder.PathOf("b")).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal));
        Assert.Contains("b,b1.mp4,0,60,b/correction.cube,b/drift-b1.csv,A note.", File.ReadAllLines(_folder.PathOf("corrections.csv")));
    }

    private static (ShootPlaces Places, CameraMatch Match) Shoot()
    {
        ClipInfo[] clips = [Clip("a.mp4", 100), Clip("b1.mp4", 60), Clip("b2.mp4", 5)];
        ImmutableArray<ShootCamera> cameras = [new("a", [clips[0]]), new("b", [clips[1], clips[2]])];
        PlacedClip Place(string camera, int i, double start) => new(new ShootClip(camera, Path.GetFileName(clips[i].Path), clips[i].DurationSeconds), start, 0, 0.001, 0.999, PlacementBasis.Meetings, [], 0);
        ShootTimes times = new([Place("a", 0, 0), Place("b", 1, 10), Place("b", 2, 80)], [new DeviceClock("a", 0, 0, null, 0), new DeviceClock("b", 0, 1, null, 0)], [], []);
        ShootPlaces places = new(cameras, [.. clips], times, []);
        SampleSet samples = MadeColours.PairsOf(new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.1, 1, 0.9), MadeColours.Spread(60));
        FitStage.Result fit = FitStage.Run(samples, CorrectionKind.Gains, 9, Trim.None, TestContext.Current.CancellationToken);
        CameraStates states = new(
            [new(0, 30, 0), new(30, 50, 1), new(50, 100, 2)],
            [new StateCorrection(0, fit.Chosen, 60, 0), new StateCorrection(1, fit.Chosen, 60, 1), new StateCorrection(2, fit.Chosen, 0, 0)],
            new StateComparison(CorrectionKind.Gains, 3, 1, true));
        DriftOutcome drift = new(new DriftTrack([new(0, default), new(5, new(0.5, 0, 0))]), new DriftGain(3, 1, 3, [new(0, 3, 1)]), 0.9);
        CameraMatch match = new(cameras[1], new MatchOutcome(samples, fit.Fit, fit.Chosen), fit.Chosen.Lut, 0, 1, "A note.")
        {
            States = states,
            Drifts = ImmutableDictionary<int, DriftOutcome>.Empty.Add(2, drift),
        };
        return (places, match);
    }

    private static ClipInfo Clip(string name, double seconds) => MadeClip.Of(Path.GetFullPath(name), 64, 64, seconds);
}
