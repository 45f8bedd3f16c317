using System.Collections.Immutable;
using Tonematch.Corrections;
using Tonematch.Fitting.Models;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting;

/// <summary>
/// What cameras do to a part of their picture (local tone mapping, veil, shading) belongs to the place, not to the colour. Where
/// pairs of several localities are at hand it is estimated together with the correction, instead of bending the correction.
/// </summary>
internal static class Localities
{
    // Fewer pairs cannot tell four numbers of a locality from colour.
    private const int FewestPairs = 6;

    // Each has four numbers of its own: more localities would take long.
    private const int Most = 12;

    /// <summary>
    /// The pairs as the scene's own locality would have them, and the stops by which each of the others was off; the same
    /// object where localities are not known or do not explain enough.
    /// </summary>
    /// <param name="samples">The pairs as recorded.</param>
    /// <param name="coverage">What they cover.</param>
    /// <param name="alike">Fits curves-matrix to them as they are.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <remarks>
    /// The scene is the locality with most pairs: they are taken over the picture, and a chart is a small part of it. Fitted with curves-matrix, believed when it explains more than its numbers
    /// would by chance (G. Schwarz, Annals of Statistics 6(2), 1978).
    /// </remarks>
    public static (FitSamples Samples, ImmutableArray<(string Locality, double Stops, double Veil)> Off) Evened(
        FitSamples samples, SampleCoverage coverage, KindFitter alike, CancellationToken cancel)
    {
        IGrouping<string, FitPair>[] groups = [.. samples.Pairs.GroupBy(p => p.Locality, StringComparer.Ordinal)];
        if (groups.Length is < 2 or > Most || groups.Any(g => g.Key.Length == 0 || g.Count() < FewestPairs) || alike.WhyNot(coverage) is not null)
        {
            return (samples, []);
        }

        string scene = groups.OrderByDescending(g => g.Count()).ThenBy(g => g.Key, StringComparer.Ordinal).First().Key;
        LocalitiesModel model = new(new CurvesMatrixModel(samples), samples, scene);
        Fitted without = alike.Fit(samples, null, cancel);
        Fitted with = new ParametricFitter(CorrectionKind.CurvesMatrix, _ => model, minPairs: 5, needsColours: true).Fit(samples, null, cancel);
        FitSamples evened = samples.With([.. samples.Pairs.Select(p => model.AsInScene(with.Parameters, p))]);
        double residuals = 3.0 * samples.Count;
        double gained = residuals * Math.Log(Shading.SumOfSquares(samples, without) / Shading.SumOfSquares(evened, with));
        return gained > LocalitiesModel.Terms * model.Count * Math.Log(residuals)
            ? (evened, [.. groups.Where(g => g.Key != scene).Select(g => Off(model, with.Parameters, g.Key))])
            : (samples, []);
    }

    private static (string, double, double) Off(LocalitiesModel model, double[] p, string locality)
    {
        (Colour.SceneRgb f, double veil) = model.Of(p, locality)!.Value;
        return (locality, Math.Log2((0.2126 * f.R) + (0.7152 * f.G) + (0.0722 * f.B)), veil);
    }
}
