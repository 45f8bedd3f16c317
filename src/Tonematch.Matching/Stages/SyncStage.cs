using System.Globalization;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Media.Reading;
using Tonematch.Sync;
using Tonematch.Sync.Light;
using Tonematch.Sync.Sound;

namespace Tonematch.Matching.Stages;

/// <summary>Finds the time offset of two clips: by hand, by sound, by light and motion, or by timecode.</summary>
public static class SyncStage
{
    // Decoding costs the same as at 8 kHz, and very different room acoustics need the content above 4 kHz. An hour
    // takes 115 MB.
    private const int SampleRate = 16000;

    private const double LongestLightSeconds = 600;

    // Six seconds decide as often as ten, at proportionally lower cost.
    private const double AgreementSeconds = 6;

    private const string ByHand =
        "To line them up by eye: find one moment that both show (a clap, a flash, a door), note its time in A and in B, and give both, for example --same-moment 12.4,5.0.";

    /// <summary>What was found, and a clear moment in both sounds.</summary>
    /// <param name="Found">Offset, drift, confidence.</param>
    /// <param name="Moment">Null if none was requested, or the sound was not used.</param>
    public sealed record Result(SyncFound Found, ClearMoment? Moment);

    /// <summary>
    /// The offset given by hand; otherwise from the sound, confirmed by the pictures; otherwise, if sound is missing or
    /// inconclusive, from light and motion in the pictures; and finally from timecode.
    /// </summary>
    /// <param name="primary">The primary clip.</param>
    /// <param name="secondary">The secondary clip.</param>
    /// <param name="request">What the user said about them.</param>
    /// <param name="wantsMoment">Whether a clear moment of both sounds is needed for the report.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">Nothing reveals the time offset.</exception>
    public static async Task<Result> RunAsync(
        ClipInfo primary, ClipInfo secondary, MatchRequest request, bool wantsMoment, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(request);
        Result result = await FindAsync(primary, secondary, request, wantsMoment, cancel);
        return result.Found.Method == SyncMethod.Sound
            ? result with { Found = await ConfirmedAsync(request.Reader, result.Found, primary, secondary, cancel) }
            : result;
    }

    private static async Task<Result> FindAsync(
        ClipInfo primary, ClipInfo secondary, MatchRequest request, bool wantsMoment, CancellationToken cancel)
    {
        if (request.OffsetSeconds is { } given)
        {
            return new Result(SyncFound.Given(given, request.DriftPpm), null);
        }

        if (request.SameMoment is { } moment)
        {
            return new Result(SyncFound.Given(TimeOf(moment.Secondary, secondary) - TimeOf(moment.Primary, primary)), null);
        }

        List<string> why = [];
        if (primary.AudioTracks.IsEmpty || secondary.AudioTracks.IsEmpty)
        {
            why.Add($"{(primary.AudioTracks.IsEmpty ? primary.Path : secondary.Path)} has no sound.");
        }
        else
        {
            // Decoding sound takes one thread per clip, so both run in parallel.
            MonoSound[] sounds = await Task.WhenAll(
                ListenAsync(request.Reader, primary, request.Primary.AudioTrack, cancel), ListenAsync(request.Reader, secondary, request.Secondary.AudioTrack, cancel));
            (MonoSound a, MonoSound b) = (sounds[0], sounds[1]);
            SyncOptions options = new()
            {
                PrimaryMicDistanceMetres = request.Primary.MicDistanceMetres,
                SecondaryMicDistanceMetres = request.Secondary.MicDistanceMetres,
                FrameSeconds = FrameSeconds(primary),
            };
            SyncResult bySound = await Task.Run(() => SoundSync.Synchronise(a, b, options, cancel), cancel);
            if (bySound is SyncFound found)
            {
                return new Result(found, wantsMoment ? ClearMoment.Find(a, b, found) : null);
            }

            SyncRefused refused = (SyncRefused)bySound;
            why.Add($"{refused.Reason} {refused.Advice}");
            if (refused.Why is not (SyncRefusal.Silent or SyncRefusal.TooShort))
            {
                // If both have sound and it does not agree, that is evidence against a common moment: light and motion,
                // which agree by chance more easily, must not overrule it.
                throw new NoTrustworthyResultException($"{why[0]} {TimecodeWords(primary, secondary)}{ByHand}");
            }
        }

        SyncResult byLight = LightSync.Synchronise(
            await request.Reader.LightAsync(primary, 0, LongestLightSeconds, cancel), await request.Reader.LightAsync(secondary, 0, LongestLightSeconds, cancel), new SyncOptions(), cancel);
        if (byLight is SyncFound light)
        {
            return new Result(light with { Warnings = [$"{why[0]} The clips were lined up by changes of light and motion in the pictures instead. That is accurate to about a frame; drift between the cameras' clocks was not measured."] }, null);
        }

        SyncResult byTimecode = ByTimecode(primary, secondary);
        return byTimecode is SyncFound coded
            ? new Result(coded with { Warnings = [why[0], .. coded.Warnings] }, null)
            : throw new NoTrustworthyResultException($"{string.Join(' ', why)} {((SyncRefused)byLight).Reason} {TimecodeWords(primary, secondary)}{ByHand}");
    }

    private static async Task<MonoSound> ListenAsync(ClipReader reader, ClipInfo clip, int? track, CancellationToken cancel) =>
        await reader.SoundAsync(clip, SampleRate, track ?? await reader.LoudTrackAsync(clip, cancel), cancel);

    private static double FrameSeconds(ClipInfo clip) => clip.FrameRate.Value > 0 ? 1 / clip.FrameRate.Value : 0.04;

    // Mentioned, not used: sounds that disagree are evidence against a common moment, unless a microphone was dead.
    private static string TimecodeWords(ClipInfo primary, ClipInfo secondary) =>
        primary.Timecode is null || secondary.Timecode is null
            ? ""
            : ByTimecode(primary, secondary) switch
            {
                SyncFound coded => string.Create(CultureInfo.InvariantCulture,
                    $"Their timecodes would line them up ({primary.Timecode} and {secondary.Timecode}): if both cameras were set to one clock, give --offset {coded.OffsetSeconds:0.###}. "),
                SyncRefused refused => $"Their timecodes ({primary.Timecode} and {secondary.Timecode}) do not line them up either. {refused.Reason} ",
                _ => "",
            };

    private static double TimeOf(string text, ClipInfo clip) =>
        ClockTime.TryParse(text, clip.IsVariableRate ? null : clip.FrameRate.Value, out double seconds, out string? error)
            ? seconds
            : throw new UnusableInputException(error);

    private static SyncResult ByTimecode(ClipInfo primary, ClipInfo secondary) =>
        TimecodeSync.Synchronise(CodeOf(primary), primary.DurationSeconds, CodeOf(secondary), secondary.DurationSeconds);

    private static Timecode? CodeOf(ClipInfo clip) =>
        clip.Timecode is { } text && Timecode.TryParse(text, clip.FrameRate.Value, out Timecode? code, out _) ? code : null;

    // A section in the middle of the overlap shows whether the pictures agree with the sound.
    private static async Task<SyncFound> ConfirmedAsync(ClipReader reader, SyncFound found, ClipInfo primary, ClipInfo secondary, CancellationToken cancel)
    {
        double middle = found.Evidence.OverlapStartSeconds + (found.Evidence.OverlapSeconds / 2);
        double from = Math.Max(0, middle - (AgreementSeconds / 2)), secondaryFrom = Math.Max(0, found.SecondaryTime(from));
        IReadOnlyList<LightSample>[] series = await Task.WhenAll(
            reader.LightAsync(primary, from, AgreementSeconds, cancel), reader.LightAsync(secondary, secondaryFrom, AgreementSeconds, cancel));
        double frame = Math.Max(FrameSeconds(primary), FrameSeconds(secondary));
        PictureAgreement agreement = PictureAgreement.Check(found, series[0], series[1], frame, cancel);
        return agreement.Verdict == PictureVerdict.Disagrees
            ? found with { Warnings = [agreement.Sentence, .. found.Warnings] }
            : found;
    }
}
