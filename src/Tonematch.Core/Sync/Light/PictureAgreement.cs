namespace Tonematch.Sync.Light;

/// <summary>The result of checking whether the pictures confirm an offset found from sound (or given).</summary>
/// <param name="Verdict">Agree, disagree, or undecided.</param>
/// <param name="DifferenceSeconds">The pictures' own offset minus the given one, seconds; null if undecided.</param>
/// <param name="Sentence">The sentence for the user.</param>
public sealed record PictureAgreement(PictureVerdict Verdict, double? DifferenceSeconds, string Sentence)
{
    /// <summary>
    /// The largest difference that is searched for, seconds; a section must be longer by several seconds.
    /// </summary>
    public const double ReachSeconds = 2.5;

    // Among 126 pairs of sections showing different moments, the highest correlation was 0.56, and where it was 0.55 or
    // more, the next one was at least 0.62 of it.
    private const double LeastCorrelation = 0.58;
    private const double MostNext = 0.6;

    // Either clip's frames show motion to half a frame at best.
    private const double FramesThatAgree = 1.5;

    /// <summary>Compares an offset with light and motion in both pictures.</summary>
    /// <param name="sync">The offset to confirm.</param>
    /// <param name="primary">One value per frame, times ascending.</param>
    /// <param name="secondary">One value per frame, times ascending.</param>
    /// <param name="frameSeconds">Length of a frame of the slower clip, seconds; differences of up to one and a half frames agree.</param>
    /// <param name="cancel">Cancels the work.</param>
    public static PictureAgreement Check(
        SyncFound sync, IReadOnlyList<LightSample> primary, IReadOnlyList<LightSample> secondary, double frameSeconds, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(sync);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(frameSeconds);
        cancel.ThrowIfCancellationRequested();
        double expected = primary.Count == 0 ? 0 : sync.SecondaryTime(primary[primary.Count / 2].Seconds) - primary[primary.Count / 2].Seconds;
        double found;
        if (LightSync.Near(primary, secondary, expected, ReachSeconds) is { Correlation: >= LeastCorrelation } near && near.Next <= MostNext * near.Correlation)
        {
            found = near.OffsetSeconds;
        }
        else if (LightSync.Synchronise(primary, secondary, new SyncOptions(), cancel) is SyncFound light)
        {
            // Long series need not correlate as well, and may be further apart.
            found = light.OffsetSeconds;
        }
        else
        {
            return new PictureAgreement(
                PictureVerdict.Undecided, null, "The pictures have too little light and motion in common to confirm the sound.");
        }

        double difference = found - expected;
        return Math.Abs(difference) <= FramesThatAgree * frameSeconds
            ? new PictureAgreement(PictureVerdict.Agrees, difference, FormattableString.Invariant(
                $"Light and motion in the pictures agree with the sound to within {Math.Abs(difference) * 1000:0} ms."))
            : new PictureAgreement(PictureVerdict.Disagrees, difference, FormattableString.Invariant(
                $"Light and motion in the pictures put camera B {Math.Abs(difference):0.000} s {(difference > 0 ? "earlier" : "later")} than the sound does, more than a frame. Look at the hands at a clap: perhaps a clip's sound is out of sync with its picture, or a microphone was far away (sound arrives about a frame later for every 12 metres; --mic-distance corrects that)."));
    }
}
