using System.Collections.Immutable;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>The result of fitting all kinds to one sample set.</summary>
/// <param name="Before">Differences without a correction.</param>
/// <param name="Candidates">Every kind that was tried, from simple to flexible.</param>
/// <param name="Advised">The one to use.</param>
public sealed record FitResult(
    DeltaEStatistics Before, ImmutableArray<FittedCandidate> Candidates, FittedCandidate Advised)
{
    /// <summary>
    /// Haze from which it cannot be assumed to be the same over board and scene, a share of white. The lifted black of
    /// a picture style is below a hundredth; two clean cameras measure 0.000 to 0.008 from a chart (first set of
    /// simulated cameras), the five real scenes 0.019 to 0.045.
    /// </summary>
    public const double VeilOfNote = 0.014;

    /// <summary>Kinds that could not be fitted, each with the reason in a sentence.</summary>
    public ImmutableArray<(CorrectionKind Kind, string Why)> NotFitted { get; init; } = [];

    /// <summary>
    /// The places that the pairs come from, largest first, with the findings on each; empty if there is only one.
    /// </summary>
    public ImmutableArray<FittedPlace> Places { get; init; } = [];

    /// <summary>What the user should know, in sentences.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>
    /// Difference of haze between the two pictures, a share of white, if all samples come from one board; null if they
    /// do not, or if no matrix was fitted.
    /// </summary>
    public double? VeilOfBoard { get; init; }

    /// <summary>
    /// The more flexible kind that was as good as the advised one within the uncertainty; null if the choice was clear.
    /// </summary>
    public CloseChoice? Close { get; init; }
}

/// <summary>A place (a locality of the pairs) and how the pictures differ there beyond what colour explains.</summary>
/// <param name="Name">The display name: 'the chart', 'the lower left'.</param>
/// <param name="Pairs">The number of pairs from it.</param>
/// <param name="Stops">Exposure that the secondary lacks there relative to the mean of the places (above 0: darker than elsewhere); 0 if no effect of places was found.</param>
/// <param name="Veil">Haze by which the primary exceeds the mean of the places there, a share of white.</param>
/// <param name="Before">CIEDE2000 of its pairs without a correction.</param>
/// <param name="Unseen">CIEDE2000 of its pairs, as recorded, through the advised kind fitted to the other places only; null for a chart beside other places, or if that could not be tested.</param>
public sealed record FittedPlace(string Name, int Pairs, double Stops, double Veil, DeltaEStatistics Before, DeltaEStatistics? Unseen);

/// <summary>One kind fitted to the samples.</summary>
/// <param name="Correction">The correction, fitted to all pairs.</param>
/// <param name="Train">Differences on the pairs it was fitted to.</param>
/// <param name="CrossValidated">
/// Differences on pairs left out of the fit, by groups, with uneven light removed if a warning says so; null with too
/// few groups.
/// </param>
/// <param name="CrossValidatedStandardError">Standard error of the cross-validated mean; null with too few groups.</param>
/// <param name="HowItEnded">How the optimiser stopped, for experts.</param>
public sealed record FittedCandidate(
    Correction Correction,
    DeltaEStatistics Train,
    DeltaEStatistics? CrossValidated,
    double? CrossValidatedStandardError,
    string HowItEnded)
{
    /// <summary>The figures to judge the kind by: <see cref="CrossValidated"/>, or those of the fit if there are none.</summary>
    public DeltaEStatistics HeldOutOrFitted => CrossValidated ?? Train;

    /// <summary>
    /// Differences on whole places (localities) left out of the fit, as recorded: the error to expect where nothing was
    /// compared. Null with fewer than two places. A chart beside other places is never left out. Each place has the
    /// same weight, however many pairs it has.
    /// </summary>
    public DeltaEStatistics? UnseenPlaces { get; init; }

    /// <summary>CIEDE2000 of each pair after the correction, in the pairs' order.</summary>
    public ImmutableArray<double> PairDeltaE { get; init; } = [];
}
