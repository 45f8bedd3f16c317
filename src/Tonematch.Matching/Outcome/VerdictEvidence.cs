using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Outcome;

/// <summary>All that a verdict is made from.</summary>
public sealed record VerdictEvidence
{
    /// <summary>Where the corresponding colours come from.</summary>
    public required SamplingMethod Method { get; init; }

    /// <summary>Comparing whole pictures was asked for, not fallen back to.</summary>
    public bool AskedForWhole { get; init; }

    /// <summary>How many things were compared.</summary>
    public required int Groups { get; init; }

    /// <summary>The correction handed over changes nothing.</summary>
    public bool ChangesNothing { get; init; }

    /// <summary>CIEDE2000 of the samples as recorded.</summary>
    public required DeltaEStatistics Before { get; init; }

    /// <summary>CIEDE2000 of the samples through the correction handed over.</summary>
    public required DeltaEStatistics Fitted { get; init; }

    /// <summary>CIEDE2000 on colours left out of the fit; null where that could not be measured.</summary>
    public DeltaEStatistics? UnseenColours { get; init; }

    /// <summary>CIEDE2000 on whole places left out of the fit, each counting the same; null where fewer than two are known.</summary>
    public DeltaEStatistics? UnseenPlaces { get; init; }

    /// <summary>The same place by place; empty where fewer than two are known.</summary>
    public ImmutableArray<PlaceFigures> Places { get; init; } = [];

    /// <summary>The samples contradict one another as under different light.</summary>
    public bool ShowsOtherLight { get; init; }

    /// <summary>Haze between the two pictures over the one board compared, a share of white; null where more was compared.</summary>
    public double? VeilOfBoard { get; init; }

    /// <summary>Share of camera B's picture whose colours are near a sample, 0..1; null where that is not known.</summary>
    public double? CoveredShare { get; init; }

    /// <summary>The match over the recording; null where it was not looked at.</summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>By how much exposure wanders, stops; 0 where it does not, or was not looked at.</summary>
    public double WanderingStops { get; init; }

    /// <summary>What goes with instant and place in what is left of lightness; null where that was not looked at.</summary>
    public LightnessCauses? Lightness { get; init; }

    /// <summary>Where a channel of the primary is at the top of its range; null without frames.</summary>
    public ClippedChannels? PrimaryClipped { get; init; }

    /// <summary>Where a channel of the secondary is at the top of its range; null without frames.</summary>
    public ClippedChannels? SecondaryClipped { get; init; }

    /// <summary>How sure the offset between the clips is, 0..1; null where there is none or a person gave it.</summary>
    public double? SyncConfidence { get; init; }

    /// <summary>What is wrong with the table, in a sentence; null for nothing.</summary>
    public string? Danger { get; init; }

    /// <summary>The richer kind that was as good; null where the choice was clear.</summary>
    public CloseChoice? Close { get; init; }

    /// <summary>What an outcome holds of it.</summary>
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
            Danger = chosen.Dangers.FirstOrDefault()?.Sentence,
            Close = isAdvised ? fit.Close : null,
        };
    }
}
