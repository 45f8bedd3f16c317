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
    /// <summary>
    /// A haze from which on it is not the same over board and scene, a share of white. The lifted black of a picture style is
    /// below a hundredth; the veil of two clean cameras comes out at 0.000 to 0.008 from a chart (first set of simulated
    /// cameras), the five real scenes' at 0.019 to 0.045.
    /// </summary>
    public const double VeilOfNote = 0.014;

    /// <summary>Kinds that could not be fitted, each with a sentence why.</summary>
    public ImmutableArray<(CorrectionKind Kind, string Why)> NotFitted { get; init; } = [];

    /// <summary>
    /// The places that the pairs are from, where there are several, the largest first: what is known of each of them. Empty with one.
    /// </summary>
    public ImmutableArray<FittedPlace> Places { get; init; } = [];

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

/// <summary>A place (a locality of the pairs) and how far the pictures differ there otherwise than colour explains.</summary>
/// <param name="Name">For people: 'the chart', 'the lower left'.</param>
/// <param name="Pairs">How many pairs are from it.</param>
/// <param name="Stops">Exposure that the secondary lacks there against the mean of the places (above 0: darker than elsewhere); 0 where nothing was found to belong to places.</param>
/// <param name="Veil">Haze that the primary has more there than in the mean of the places, in shares of white.</param>
/// <param name="Before">CIEDE2000 of its pairs with nothing done.</param>
/// <param name="Unseen">CIEDE2000 of its pairs, as recorded, through the advised kind fitted to the other places only; null for a chart beside other places, and where that could not be tried.</param>
public sealed record FittedPlace(string Name, int Pairs, double Stops, double Veil, DeltaEStatistics Before, DeltaEStatistics? Unseen);

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
    /// <summary>
    /// Differences on whole places (localities) left out of the fit, as recorded: what to expect where nothing was compared. Null
    /// where the pairs are of fewer than two places. A chart beside other places is not left out. Each place counts the same, however many pairs it has.
    /// </summary>
    public DeltaEStatistics? UnseenPlaces { get; init; }

    /// <summary>CIEDE2000 of each pair after the correction, in the pairs' order.</summary>
    public ImmutableArray<double> PairDeltaE { get; init; } = [];
}
