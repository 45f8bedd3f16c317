using System.Collections.Immutable;
using Tonematch.Formats.Timelines;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Shoot;
using Tonematch.Sync;

namespace Tonematch.Matching.Shoot;

/// <summary>All clips of a shoot with their places in time.</summary>
/// <param name="Cameras">The first one's clock is the shoot's clock.</param>
/// <param name="Clips">All clips, camera by camera, in the order of <paramref name="Times"/>.</param>
/// <param name="Times">Their places.</param>
/// <param name="Meetings">The evidence for the places.</param>
public sealed record ShootPlaces(ImmutableArray<ShootCamera> Cameras, ImmutableArray<ClipInfo> Clips, ShootTimes Times, ImmutableArray<Meeting> Meetings)
{
    private const double ShortestOverlapSeconds = 3;

    /// <summary>The cameras that have pictures, the first one first.</summary>
    public IEnumerable<ShootCamera> PictureCameras => Cameras.Where(c => c.HasPictures);

    /// <summary>The indices of a camera's clips.</summary>
    public IEnumerable<int> ClipsOf(ShootCamera camera) => Enumerable.Range(0, Clips.Length).Where(i => camera.Clips.Contains(Clips[i]));

    /// <summary>The frame rate of the first camera's first clip, used for timecodes and aligned renders.</summary>
    public Rational FrameRate => Clips[0].FrameRate;

    /// <summary>When the last placed clip ends, seconds on the shoot's clock.</summary>
    public double EndSeconds => Times.Clips.Where(c => c.IsPlaced).Max(c => c.EndSeconds);

    /// <summary>When the first placed clip begins: 0 or below.</summary>
    public double StartSeconds => Times.Clips.Where(c => c.IsPlaced).Min(c => c.StartSeconds);

    /// <summary>The time in which two clips overlap, on the shoot's clock; empty unless from is below to.</summary>
    public (double From, double To) Overlap(int first, int second)
    {
        (PlacedClip a, PlacedClip b) = (Times.Clips[first], Times.Clips[second]);
        return a.IsPlaced && b.IsPlaced ? (Math.Max(a.StartSeconds, b.StartSeconds), Math.Min(a.EndSeconds, b.EndSeconds)) : (0, 0);
    }

    /// <summary>Pairs of clips of two cameras that overlap by at least 3 s, longest overlap first.</summary>
    internal IEnumerable<(int First, int Second)> Together(ShootCamera primary, ShootCamera secondary) =>
        from a in ClipsOf(primary)
        from b in ClipsOf(secondary)
        let overlap = Overlap(a, b)
        where overlap.To - overlap.From >= ShortestOverlapSeconds
        orderby overlap.To - overlap.From descending
        select (a, b);

    /// <summary>A match of two placed clips.</summary>
    internal MatchRequest RequestOf(int first, int second, MatchRequest settings)
    {
        // The clock drift over one pair stays within a frame if the offset is exact in the middle.
        (double from, double to) = Overlap(first, second);
        double middle = (from + to) / 2;
        return settings with
        {
            Primary = settings.Primary with { Path = Clips[first].Path },
            Secondary = settings.Secondary with { Path = Clips[second].Path },
            OffsetSeconds = Times.Clips[second].ClipTime(middle) - Times.Clips[first].ClipTime(middle),
        };
    }

    /// <summary>The alignment of the second clip to the first.</summary>
    public SyncFound SyncOf(int first, int second)
    {
        (PlacedClip a, PlacedClip b) = (Times.Clips[first], Times.Clips[second]);
        double pace = (1 + (b.RatePpm * 1e-6)) / (1 + (a.RatePpm * 1e-6));
        return SyncFound.Given(b.ClipTime(a.ShootTime(0)), (pace - 1) * 1e6);
    }

    /// <summary>Two placed clips with their alignment, to be compared as the settings say.</summary>
    internal SyncedClips Synced(int first, int second, MatchRequest settings) => SyncedClips.Of(Clips[first], Clips[second], SyncOf(first, second), settings);

    /// <summary>The places as a timeline for an editor, beginning with the earliest clip.</summary>
    /// <param name="name">Its title.</param>
    /// <param name="folder">The folder of the timeline file; the clips' paths are relative to it.</param>
    /// <param name="correctionOf">Each camera's correction file, relative to the folder, with its SHA-256; null for none.</param>
    /// <param name="driftOf">The file with a clip's drift of exposure and white balance, by clip index; null for none.</param>
    /// <param name="statesOf">The parts of a clip that have their own corrections, by clip index; empty if one correction serves all.</param>
    public Timeline ToTimeline(
        string name, string folder, Func<ShootCamera, (string File, string Sha256)?> correctionOf, Func<int, string?> driftOf, Func<int, ImmutableArray<TimelineState>> statesOf)
    {
        ArgumentNullException.ThrowIfNull(correctionOf);
        ArgumentNullException.ThrowIfNull(driftOf);
        ArgumentNullException.ThrowIfNull(statesOf);
        ClipInfo first = Clips[0];
        Timecode? code = first.Timecode is { } text && Timecode.TryParse(text, first.FrameRate.Value, out Timecode? read, out _) ? read : null;

        // Nothing may lie before a timeline's beginning: if a secondary started first, the timeline begins with it.
        double origin = Math.Min(0, StartSeconds);
        return new Timeline(name, first.FrameRate.Value, (code?.Seconds ?? 0) + (code is null ? 0 : origin), code?.IsDropFrame ?? false,
            [.. Cameras.Select(camera => new TimelineTrack(camera.Name, camera.HasPictures,
            [
                .. ClipsOf(camera).Where(i => Times.Clips[i].IsPlaced).OrderBy(i => Times.Clips[i].StartSeconds).Select(i => new TimelineClip(
                    Path.GetFileName(Clips[i].Path), Path.GetRelativePath(folder, Clips[i].Path).Replace('\\', '/'),
                    Times.Clips[i].StartSeconds - origin, Clips[i].DurationSeconds, Clips[i].FrameRate.Value)
                {
                    MediaStartSeconds = Clips[i].Timecode is { } t && Timecode.TryParse(t, Clips[i].FrameRate.Value, out Timecode? own, out _) ? own.Seconds : 0,
                    RatePpm = Times.Clips[i].RatePpm,
                    Confidence = Times.Clips[i].Confidence,
                    Correction = correctionOf(camera)?.File,
                    CorrectionSha256 = correctionOf(camera)?.Sha256,
                    DriftTrack = driftOf(i),
                    States = statesOf(i),
                }),
            ]))]);
    }
}
