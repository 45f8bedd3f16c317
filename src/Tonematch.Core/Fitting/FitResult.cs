using System.Collections.Immutable;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>What the fit of all kinds to one sample set gave.</summary>
/// <param name="Before">Differences with nothing done.</param>
/// <param name="Candidates">Every kind that was tried, simple to rich.</param>
/// <param name="Advised">The one to use.</param>
public sealed record FitResult(
    DeltaEStatistics Before, ImmutableArray<FittedCandidate> Candidates, FittedCandidate Advised)
{
    /// <summary>Kinds that could not be fitted, each with a sentence why.</summary>
    public ImmutableArray<(CorrectionKind Kind, string Why)> NotFitted { get; init; } = [];

    /// <summary>What the user should know, in sentences.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>
    /// How much more light of white (a share of it) lies as a haze over one picture than over the other, where all samples are of one
    /// board; null where they are not, or a matrix was not fitted.
    /// </summary>
    public double? VeilOfBoard { get; init; }

    /// <summary>The richer kind that was as good as the advised one within the uncertainty; null where the choice was clear.</summary>
    public CloseChoice? Close { get; init; }
}

/// <summary>One kind fitted to the samples.</summary>
/// <param name="Correction">The correction, fitted to all pairs.</param>
/// <param name="Train">Differences on the pairs it was fitted to.</param>
/// <param name="CrossValidated">
/// Differences on pairs left out of the fit, by groups, with uneven light taken out where a warning says so; null with too
/// few groups.
/// </param>
/// <param name="CrossValidatedStandardError">Standard error of the cross-validated mean; null with too few groups.</param>
/// <param name="HowItEnded">How the optimiser stopped, for the expert.</param>
public sealed record FittedCandidate(
    Correction Correction,
    DeltaEStatistics Train,
    DeltaEStatistics? CrossValidated,
    double? CrossValidatedStandardError,
    string HowItEnded)
{
    /// <summary>CIEDE2000 of each pair after the correction, in the pairs' order.</summary>
    public ImmutableArray<double> PairDeltaE { get; init; } = [];
}
