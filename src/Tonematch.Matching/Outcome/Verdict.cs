using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Matching.Words;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>
/// The one verdict on a match: what to do with it, its figure on unseen data, and why. Every output states this
/// verdict.
/// </summary>
/// <param name="Kind">What to do.</param>
/// <param name="Figure">CIEDE2000 on data left out of the fit, where that is known.</param>
/// <param name="FigureOf">The data it was measured on.</param>
/// <param name="Reasons">The reasons, most serious first; empty when there is nothing to say.</param>
/// <remarks>Where the limits come from: docs/method/verdict.md.</remarks>
public sealed record Verdict(VerdictKind Kind, DeltaEStatistics Figure, VerdictFigure FigureOf, ImmutableArray<VerdictReason> Reasons)
{
    /// <summary>Fewer objects than this do not show what the correction does to others.</summary>
    public const int FewestGroups = 12;

    /// <summary>
    /// The samples represent the picture when at least this share of it has colours near one of them.
    /// </summary>
    public const double SmallestCoverage = 0.5;

    /// <summary>
    /// A dependence on instant or place is reported when it explains at least this share of the remaining lightness
    /// error and reaches <see cref="NotedDeviation"/>.
    /// </summary>
    public const double NotedShare = 0.4;

    /// <summary>A standard deviation in L*; a difference of 1 is just visible.</summary>
    public const double NotedDeviation = 1;

    /// <summary>Clipping of a channel is reported from this share of the picture.</summary>
    public const double NotedClipping = 0.05;

    /// <summary>
    /// When the choice is close, a more flexible kind is mentioned if it would leave at least this much less.
    /// </summary>
    public const double NotedDifference = 0.05;

    /// <summary>Below this confidence the offset should be checked by eye.</summary>
    public const double SmallestSyncConfidence = 0.9;

    /// <summary>The verdict on all the evidence.</summary>
    public static Verdict Of(VerdictEvidence evidence)
    {
        ArgumentNullException.ThrowIfNull(evidence);
        (DeltaEStatistics figure, VerdictFigure of) = FigureIn(evidence);
        ImmutableArray<VerdictReason> reasons = [.. ReasonsIn(evidence, figure).OrderByDescending(r => r.Calls).ThenBy(r => r.Cause)];
        return new Verdict(reasons.Select(r => r.Calls).DefaultIfEmpty(VerdictKind.Use).Max(), figure, of, reasons);
    }

    private static (DeltaEStatistics, VerdictFigure) FigureIn(VerdictEvidence e) =>
        e.UnseenPlaces is { } places ? (places, VerdictFigure.UnseenPlaces)
        : e.UnseenColours is { } colours ? (colours, VerdictFigure.UnseenColours)
        : (e.Fitted, VerdictFigure.FittedColours);

    private static IEnumerable<VerdictReason> ReasonsIn(VerdictEvidence e, DeltaEStatistics figure)
    {
        double left = figure.Mean;
        if (e.Method == SamplingMethod.Overall)
        {
            yield return e.AskedForWhole
                ? new(VerdictCause.WholePicture, VerdictKind.LookFirst, left)
                : new(VerdictCause.NothingInCommon, VerdictKind.DoNotUse, left);
        }

        double before = e.UnseenPlaces is not null && !e.Places.IsEmpty ? e.Places.Average(p => p.Before) : e.Before.Mean;
        if (e.ChangesNothing)
        {
            if (left >= DeltaEScale.CutsWell)
            {
                yield return new(VerdictCause.NothingHelps, VerdictKind.DoNotUse, left);
            }
        }
        else if (left >= before && before >= DeltaEScale.NotSeen)
        {
            yield return new(VerdictCause.NoBetterThanNothing, VerdictKind.DoNotUse, left) { Other = before };
        }

        if (e.ShowsOtherLight)
        {
            yield return new(VerdictCause.OtherLight, left < DeltaEScale.CutsWell ? VerdictKind.LookFirst : VerdictKind.DoNotUse, left);
        }

        if (left >= DeltaEScale.AnotherColour)
        {
            yield return new(VerdictCause.AnotherColour, VerdictKind.DoNotUse, left);
        }
        else if ((left >= DeltaEScale.HardlySeenInACut || (left >= DeltaEScale.CutsWell && figure.Median >= DeltaEScale.CutsWell)) && !e.ChangesNothing)
        {
            yield return new(VerdictCause.Seen, VerdictKind.LookFirst, left);
        }

        foreach (VerdictReason reason in OfPlaces(e, left).Concat(OfSamples(e)).Concat(OfRecording(e)).Concat(OfLightness(e)).Concat(OfClipping(e)))
        {
            yield return reason;
        }

        if (e.Danger is { } danger)
        {
            yield return new(VerdictCause.UnsafeTable, VerdictKind.Use, left) { What = danger };
        }

        if (e.Close is { Difference: >= NotedDifference } close)
        {
            yield return new(VerdictCause.CloseChoice, VerdictKind.Use, close.Difference)
            {
                Other = close.Uncertainty,
                What = close.Advised.Name(),
                Against = close.Richer.Name(),
            };
        }
    }

    private static IEnumerable<VerdictReason> OfPlaces(VerdictEvidence e, double left)
    {
        if (e.Places.IsEmpty)
        {
            // A picture style with lifted black looks like a veil, but some kind of correction follows it and leaves
            // next to nothing.
            if (e.VeilOfBoard >= FitResult.VeilOfNote && left >= DeltaEScale.NotSeen)
            {
                yield return new(VerdictCause.VeiledBoard, VerdictKind.LookFirst, e.VeilOfBoard.Value);
            }

            yield break;
        }

        PlaceFigures worst = e.Places.MaxBy(p => p.After)!, best = e.Places.MinBy(p => p.After)!;
        if (worst.After >= DeltaEScale.HardlySeenInACut)
        {
            yield return new(VerdictCause.PlacesDisagree, VerdictKind.LookFirst, worst.After) { What = worst.Place, Against = best == worst ? "" : best.Place, Other = best == worst ? null : best.After };
        }

        PlaceFigures spoilt = e.Places.MaxBy(p => p.After - p.Before)!;
        if (spoilt.After - spoilt.Before >= DeltaEScale.NotSeen)
        {
            yield return new(VerdictCause.PlaceGetsWorse, VerdictKind.LookFirst, spoilt.After) { What = spoilt.Place, Other = spoilt.Before };
        }
    }

    private static IEnumerable<VerdictReason> OfLightness(VerdictEvidence e)
    {
        static bool IsNoted(LeftPart? part) => part is { Share: >= NotedShare, Deviation: >= NotedDeviation };
        if (e.Lightness is not { } lightness)
        {
            yield break;
        }

        if (IsNoted(lightness.InSecondary.ByInstant) && e.WanderingStops < RecordingWords.SeenStops)
        {
            yield return new(VerdictCause.LightnessByInstant, VerdictKind.LookFirst, lightness.InSecondary.ByInstant!.Deviation) { Other = lightness.InSecondary.ByInstant.Share };
        }

        // If both cameras stand at one place, their areas agree, and it cannot be said which camera causes it.
        const double clearly = 0.1;
        (LeftPart? ofPrimary, LeftPart? ofSecondary) = (lightness.InPrimary.ByArea, lightness.InSecondary.ByArea);
        double more = (ofSecondary?.Share ?? 0) - (ofPrimary?.Share ?? 0);
        bool isPrimary = more < -clearly;
        if ((isPrimary ? ofPrimary : ofSecondary) is { } part && IsNoted(part))
        {
            string whose = isPrimary ? "camera A" : more > clearly ? "camera B" : "one of the two cameras";
            (double corners, double parabola) = isPrimary ? (lightness.PrimaryToCorners, lightness.PrimaryParabola) : (lightness.SecondaryToCorners, lightness.SecondaryParabola);
            yield return parabola >= part.Share / 2
                ? new(VerdictCause.Shading, VerdictKind.LookFirst, more is >= -clearly and <= clearly ? Math.Abs(corners) : corners) { What = whose, Other = part.Share }
                : new(VerdictCause.LocalTones, VerdictKind.LookFirst, part.Deviation) { What = whose, Other = part.Share };
        }
    }

    private static IEnumerable<VerdictReason> OfClipping(VerdictEvidence e)
    {
        foreach ((string whose, ClippedChannels? clipped) in ((string, ClippedChannels?)[])[("camera A", e.PrimaryClipped), ("camera B", e.SecondaryClipped)])
        {
            if (clipped?.Most is (string channel, double share) && share >= NotedClipping)
            {
                yield return new(VerdictCause.ChannelClipped, VerdictKind.LookFirst, share) { What = $"{whose}'s {channel}" };
            }
        }
    }

    private static IEnumerable<VerdictReason> OfSamples(VerdictEvidence e)
    {
        if (e.Method != SamplingMethod.Overall && e.Groups < FewestGroups && !e.ChangesNothing)
        {
            yield return new(VerdictCause.FewSamples, VerdictKind.LookFirst, e.Groups);
        }

        if (e.CoveredShare < SmallestCoverage && !e.ChangesNothing)
        {
            yield return new(VerdictCause.LowCoverage, VerdictKind.LookFirst, e.CoveredShare.Value);
        }
    }

    private static IEnumerable<VerdictReason> OfRecording(VerdictEvidence e)
    {
        bool wanders = e.WanderingStops >= RecordingWords.SeenStops;
        if (wanders)
        {
            yield return new(VerdictCause.ExposureWanders, VerdictKind.LookFirst, e.WanderingStops);
        }

        if (e.OverTime is { Passes: false } check && check.OverTime.MaxBy(i => i.DeltaE.Mean) is { } worst)
        {
            yield return new(VerdictCause.FailsInParts, VerdictKind.LookFirst, worst.DeltaE.Mean) { Other = worst.PrimarySeconds };
        }

        if (e.SyncConfidence < SmallestSyncConfidence)
        {
            yield return new(VerdictCause.SyncUnsure, VerdictKind.LookFirst, e.SyncConfidence.Value);
        }
    }
}
