using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Outcome;

/// <summary>All evidence for a verdict.</summary>
public sealed record VerdictEvidence
{
    /// <summary>Where the corresponding colours come from.</summary>
    public required SamplingMethod Method { get; init; }

    /// <summary>
    /// Whether the user asked for whole pictures to be compared, rather than the program falling back to it.
    /// </summary>
    public bool AskedForWhole { get; init; }

    /// <summary>The number of objects compared.</summary>
    public required int Groups { get; init; }

    /// <summary>Whether the delivered correction changes nothing.</summary>
    public bool ChangesNothing { get; init; }

    /// <summary>CIEDE2000 of the samples as recorded.</summary>
    public required DeltaEStatistics Before { get; init; }

    /// <summary>CIEDE2000 of the samples through the delivered correction.</summary>
    public required DeltaEStatistics Fitted { get; init; }

    /// <summary>CIEDE2000 on colours left out of the fit; null if that could not be measured.</summary>
    public DeltaEStatistics? UnseenColours { get; init; }

    /// <summary>
    /// CIEDE2000 on whole places left out of the fit, each with equal weight; null with fewer than two places.
    /// </summary>
    public DeltaEStatistics? UnseenPlaces { get; init; }

    /// <summary>The same for each place; empty with fewer than two places.</summary>
    public ImmutableArray<PlaceFigures> Places { get; init; } = [];

    /// <summary>Whether the samples contradict one another, as they do under different light.</summary>
    public bool ShowsOtherLight { get; init; }

    /// <summary>
    /// Haze between the two pictures over the one board compared, a share of white; null if more than the board was
    /// compared.
    /// </summary>
    public double? VeilOfBoard { get; init; }

    /// <summary>Share of camera B's picture whose colours are near a sample, 0..1; null if unknown.</summary>
    public double? CoveredShare { get; init; }

    /// <summary>The match over the recording; null if it was not examined.</summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>Range of the exposure drift, stops; 0 if there is none, or it was not examined.</summary>
    public double WanderingStops { get; init; }

    /// <summary>
    /// How the remaining lightness error depends on instant and place; null if that was not examined.
    /// </summary>
    public LightnessCauses? Lightness { get; init; }

    /// <summary>Where a channel of the primary is at the top of its range; null without frames.</summary>
    public ClippedChannels? PrimaryClipped { get; init; }

    /// <summary>Where a channel of the secondary is at the top of its range; null without frames.</summary>
    public ClippedChannels? SecondaryClipped { get; init; }

    /// <summary>Confidence of the offset between the clips, 0..1; null if there is none or the user gave it.</summary>
    public double? SyncConfidence { get; init; }

    /// <summary>What is wrong with the table, in a sentence; null if nothing is.</summary>
    public string? Danger { get; init; }

    /// <summary>The more flexible kind that was as good; null if the choice was clear.</summary>
    public CloseChoice? Close { get; init; }

    /// <summary>The evidence in an outcome.</summary>
    public static VerdictEvidence Of(MatchOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        (SampleSet samples, FitResult fit, BakedCorrection chosen) = (outcome.Samples, outcome.Fit, outcome.Chosen);
        bool isAdvised = chosen.Candidate.Correction.Kind == fit.Advised.Correction.Kind;
        return new VerdictEvidence
        {
            Method = samples.Method,
            AskedForWhole = outcome.AskedForWhole,
            Groups = samples.Pairs.Select(p => p.Group).Distinct(StringComparer.Ordinal).Count(),
            ChangesNothing = chosen.Candidate.Correction.Kind == CorrectionKind.Identity,
            Before = fit.Before,
            Fitted = chosen.After,
            UnseenColours = chosen.Candidate.CrossValidated,
            UnseenPlaces = chosen.Candidate.UnseenPlaces,
            Places = chosen.Candidate.UnseenPlaces is null
                ? []
                : [.. fit.Places.Where(p => p.Unseen is not null).Select(p => new PlaceFigures(p.Name, p.Before.Mean, p.Unseen!.Mean))],
            ShowsOtherLight = samples.ShowsOtherLight,
            VeilOfBoard = fit.VeilOfBoard,
            CoveredShare = outcome.Coverage?.Share,
            OverTime = outcome.OverTime,
            WanderingStops = outcome.WanderingStops,
            Lightness = outcome.Lightness,
            PrimaryClipped = outcome.PrimaryClipped,
            SecondaryClipped = outcome.SecondaryClipped,
            SyncConfidence = outcome.Clips?.Sync is { Method: not SyncMethod.Given } sync ? sync.Confidence : null,
            Danger = (chosen.Dangers.FirstOrDefault() ?? chosen.Safety.Findings.FirstOrDefault(f => !f.IsWithin))?.Sentence,
            Close = isAdvised ? fit.Close : null,
        };
    }
}
