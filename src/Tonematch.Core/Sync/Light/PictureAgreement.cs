namespace Tonematch.Sync.Light;

/// <summary>Whether the pictures confirm an offset found from sound (or given).</summary>
/// <param name="Verdict">Agree, disagree, or nothing to decide it by.</param>
/// <param name="DifferenceSeconds">The pictures' own offset less the given one, seconds; null when not decided.</param>
/// <param name="Sentence">What to tell the user.</param>
public sealed record PictureAgreement(PictureVerdict Verdict, double? DifferenceSeconds, string Sentence)
{
    /// <summary>Differences up to this are looked for, seconds; a stretch must be longer by some seconds.</summary>
    public const double ReachSeconds = 2.5;

    // Of 126 pairs of stretches that show unlike moments the highest correlation was 0.56, and where it was 0.55 or more the
    // next one was 0.62 of it or more.
    private const double LeastCorrelation = 0.58;
    private const double MostNext = 0.6;

    // Either clip's frames say when something moved to half a frame at best.
    private const double FramesThatAgree = 1.5;

    /// <summary>Compares an offset with what light and motion of both pictures say.</summary>
    /// <param name="sync">The offset to confirm.</param>
    /// <param name="primary">One value a frame, times rising.</param>
    /// <param name="secondary">One value a frame, times rising.</param>
    /// <param name="frameSeconds">Length of a frame of the slower clip, seconds; what differs by one and a half agrees.</param>
    /// <param name="cancel">Ends the work early.</param>
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
            // Long series need not correlate as well, and may lie farther apart.
            found = light.OffsetSeconds;
        }
        else
        {
            return new PictureAgreement(
                PictureVerdict.Undecided, null, "The pictures have too little in common in light and motion to confirm what the sound says.");
        }

        double difference = found - expected;
        return Math.Abs(difference) <= FramesThatAgree * frameSeconds
            ? new PictureAgreement(PictureVerdict.Agrees, difference, FormattableString.Invariant(
                $"Light and motion of the pictures agree with the sound to {Math.Abs(difference) * 1000:0} ms."))
            : new PictureAgreement(PictureVerdict.Disagrees, difference, FormattableString.Invariant(
                $"Light and motion of the pictures put camera B {Math.Abs(difference):0.000} s {(difference > 0 ? "earlier" : "later")} than the sound does, more than a frame. Look at the hands at a clap: perhaps a clip's sound is out of step with its picture, or a microphone was far away (sound comes a frame later for every 12 metres or so; --mic-distance takes that out)."));
    }
}
