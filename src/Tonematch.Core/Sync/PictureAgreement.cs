namespace Tonematch.Sync;

/// <summary>Whether the pictures confirm an offset found from sound (or given).</summary>
/// <param name="Verdict">Agree, disagree, or nothing to decide it by.</param>
/// <param name="DifferenceSeconds">The pictures' own offset less the given one, seconds; null when not decided.</param>
/// <param name="Sentence">What to tell the user.</param>
public sealed record PictureAgreement(PictureVerdict Verdict, double? DifferenceSeconds, string Sentence)
{
    /// <summary>Compares an offset with what light and motion of both pictures say.</summary>
    /// <param name="sync">The offset to confirm.</param>
    /// <param name="primary">One value a frame, times rising.</param>
    /// <param name="secondary">One value a frame, times rising.</param>
    /// <param name="frameSeconds">Length of a frame of the slower clip, seconds: the largest difference that agrees.</param>
    /// <param name="cancel">Ends the work early.</param>
    public static PictureAgreement Check(
        SyncFound sync, IReadOnlyList<LightSample> primary, IReadOnlyList<LightSample> secondary, double frameSeconds, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(sync);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(frameSeconds);
        if (LightSync.Synchronise(primary, secondary, new SyncOptions(), cancel) is not SyncFound light)
        {
            return new PictureAgreement(
                PictureVerdict.Undecided, null, "The pictures have too little in common in light and motion to confirm the offset.");
        }

        double middle = light.Evidence.OverlapStartSeconds + (light.Evidence.OverlapSeconds / 2);
        double difference = light.SecondaryTime(middle) - sync.SecondaryTime(middle);
        return Math.Abs(difference) <= frameSeconds
            ? new PictureAgreement(PictureVerdict.Agrees, difference, FormattableString.Invariant(
                $"Light and motion of the pictures agree with the offset to {Math.Abs(difference) * 1000:0} ms."))
            : new PictureAgreement(PictureVerdict.Disagrees, difference, FormattableString.Invariant(
                $"Light and motion of the pictures put the offset {Math.Abs(difference):0.000} s {(difference > 0 ? "later" : "earlier")}, more than a frame. Check whether a clip's sound is out of step with its picture, or give the microphones' distances."));
    }
}
