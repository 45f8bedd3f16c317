using System.Collections.Immutable;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Media.Sound;
using Tonematch.Sync;

namespace Tonematch.Matching.Reporting;

/// <summary>Gathers from the clips what the report shows beyond the match itself.</summary>
public static class ReportEvidence
{
    private const int SampleRate = 16000;
    private const double MostSoundSeconds = 300;

    /// <summary>
    /// The clear moment in both sounds (within the first five minutes of the overlap) with its frames, and the clips'
    /// fingerprints. What cannot be had is left out: the report does not depend on it.
    /// </summary>
    /// <param name="outcome">What the match found.</param>
    /// <param name="command">The command as it was given, or null.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ReportContext> GatherAsync(MatchOutcome outcome, string? command, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        if (outcome.Clips is not { } clips)
        {
            return new ReportContext { Command = command };
        }

        Task<ImmutableArray<(string, string)>> prints = Task.Run(() => FingerprintsAsync(clips, cancel), cancel);
        ReportSound? sound = clips.Sync is { } sync ? await SoundAsync(clips, sync, cancel) : null;
        MatchedFrames? frames = sound is null ? null : await FramesAsync(clips, clips.Sync!, sound.MomentSeconds, cancel);
        return new ReportContext { Command = command, Sound = sound, AtMoment = frames, Facts = await prints };
    }

    private static async Task<ReportSound?> SoundAsync(MatchedClips clips, SyncFound sync, CancellationToken cancel)
    {
        double from = Math.Max(0, sync.PrimaryTime(0)), to = Math.Min(clips.Primary.DurationSeconds, sync.PrimaryTime(clips.Secondary.DurationSeconds));
        if (clips.Primary.AudioTracks.IsEmpty || clips.Secondary.AudioTracks.IsEmpty || to - from < 1)
        {
            return null;
        }

        // Both from their beginnings: decoding is fast, and no seeking can put a sound off its time.
        double end = Math.Min(to, from + MostSoundSeconds);
        try
        {
            Task<MonoSound> a = SoundReader.ReadMonoAsync(clips.Primary, SampleRate, null, 0, end, cancel);
            Task<MonoSound> b = SoundReader.ReadMonoAsync(clips.Secondary, SampleRate, null, 0, Math.Max(1, sync.SecondaryTime(end)), cancel);
            MonoSound[] both = await Task.WhenAll(a, b);
            return SoundMoment.Find(both[0], both[1], sync);
        }
        catch (UnusableInputException)
        {
            // A track that cannot be decoded: the match did without it, so can the report.
            return null;
        }
    }

    private static async Task<MatchedFrames?> FramesAsync(MatchedClips clips, SyncFound sync, double moment, CancellationToken cancel)
    {
        double there = sync.SecondaryTime(moment);
        if (moment > clips.Primary.DurationSeconds || there < 0 || there > clips.Secondary.DurationSeconds)
        {
            return null;
        }

        try
        {
            IReadOnlyList<GrabbedFrame>[] frames = await Task.WhenAll(
                FrameReader.GrabAsync(clips.Primary, [moment], cancel), FrameReader.GrabAsync(clips.Secondary, [there], cancel));
            return new MatchedFrames(frames[0][0], frames[1][0], "a clear moment in both sounds");
        }
        catch (UnusableInputException)
        {
            return null;
        }
    }

    private static async Task<ImmutableArray<(string, string)>> FingerprintsAsync(MatchedClips clips, CancellationToken cancel)
    {
        List<(string, string)> prints = [];
        foreach (ClipInfo clip in new[] { clips.Primary, clips.Secondary })
        {
            prints.Add((Path.GetFileName(clip.Path), await FileFingerprint.OfAsync(clip.Path, cancel)));
        }

        return [.. prints];
    }
}
