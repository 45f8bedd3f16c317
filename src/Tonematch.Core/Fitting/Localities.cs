using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Models;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// What cameras do to a part of their picture (local tone mapping, veil, shading) depends on the place, not on the
/// colour. With pairs from several localities it is estimated together with the correction, so that it does not bend
/// the correction.
/// </summary>
internal sealed class Localities
{
    // Fewer pairs cannot separate a locality's four numbers from colour.
    private const int FewestPairs = 6;

    // Each has four numbers: more localities would take too long.
    private const int Most = 12;

    // More pairs than this are condensed for estimating.
    private const int MostPairs = 600;

    // Side of the squares that measure how much of the picture a locality's pairs occupy, as a share of the picture's
    // width.
    private const double Square = 1.0 / 24;

    private readonly Dictionary<string, Place> _places;
    private readonly FitSamples _recorded;

    private Localities(FitSamples recorded, Dictionary<string, Place> places) => (_recorded, _places) = (recorded, places);

    /// <summary>A locality's effect on the secondary's light, relative to the reference locality.</summary>
    private sealed record Place(SceneRgb Factor, double Veil, double Share);

    /// <summary>Localities with enough pairs to be left out separately; empty with fewer than two.</summary>
    /// <param name="samples">The pairs.</param>
    public static ImmutableArray<string> Named(FitSamples samples)
    {
        ImmutableArray<string> named =
        [
            .. samples.Pairs.Where(p => p.Locality.Length > 0).GroupBy(p => p.Locality, StringComparer.Ordinal)
                .Where(g => g.Sum(p => p.Members) >= FewestPairs).Select(g => g.Key).Order(StringComparer.Ordinal),
        ];
        return named.Length is < 2 or > Most ? [] : named;
    }

    /// <summary>Estimates the effects of places; null if localities are unknown or do not explain enough.</summary>
    /// <param name="samples">The pairs as recorded.</param>
    /// <param name="coverage">The coverage of the pairs.</param>
    /// <param name="alike">Fits curves-matrix to the pairs as recorded.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <remarks>
    /// Fitted with curves-matrix, accepted if it explains more than its numbers would by chance (G. Schwarz, Annals of
    /// Statistics 6(2), 1978).
    /// </remarks>
    public static Localities? Of(FitSamples samples, SampleCoverage coverage, KindFitter alike, CancellationToken cancel)
    {
        ImmutableArray<string> named = Named(samples);
        if (named.IsEmpty || alike.WhyNot(coverage) is not null)
        {
            return null;
        }

        FitSamples few = samples.Count <= MostPairs ? samples : samples.Condensed(MostPairs).Normalised();
        Dictionary<string, double> shares = named.ToDictionary(n => n, n => Share(samples, n), StringComparer.Ordinal);
        string reference = named.OrderByDescending(n => shares[n]).ThenBy(n => n, StringComparer.Ordinal).First();
        LocalitiesModel model = new(new CurvesMatrixModel(few), few, named, reference);
        Fitted without = alike.Fit(few, null, cancel);
        Fitted with = new ParametricFitter(CorrectionKind.CurvesMatrix, _ => model, minPairs: 5, needsColours: true).Fit(few, null, cancel);
        FitSamples alikeThere = few.With([.. few.Pairs.Select(p => model.AsInScene(with.Parameters, p))]);

        // Pairs of one group repeat the same information: what counts is the number of objects in which the places are
        // seen.
        double residuals = 3.0 * samples.Pairs.Select(p => p.Group).Distinct().Count();
        double gained = residuals * Math.Log(Shading.SumOfSquares(few, without) / Shading.SumOfSquares(alikeThere, with));
        if (!(gained > LocalitiesModel.Terms * model.Count * Math.Log(residuals)))
        {
            return null;
        }

        return new Localities(samples, named.ToDictionary(
            n => n,
            n => model.Of(with.Parameters, n) is var (f, veil) ? new Place(f, veil, shares[n]) : new Place(new SceneRgb(1, 1, 1), 0, shares[n]),
            StringComparer.Ordinal));
    }

    /// <summary>
    /// The pairs as they would be at the mean of the scene's places; a chart counts as a place only if there is no
    /// other.
    /// </summary>
    /// <param name="without">A locality left out of that mean, as if nothing were known about it; null to include all.</param>
    public FitSamples Evened(string? without = null)
    {
        Place mean = Mean(without);
        return _recorded.With([.. _recorded.Pairs.Select(p => _places.TryGetValue(p.Locality, out Place? place)
            ? _recorded.Lit(
                p,
                new SceneRgb(place.Factor.R / mean.Factor.R, place.Factor.G / mean.Factor.G, place.Factor.B / mean.Factor.B),
                (place.Veil - mean.Veil) / Luminance(mean.Factor))
            : p)]);
    }

    /// <summary>
    /// Each place's deviation from the mean: stops of light that the secondary lacks there, and veil as a share of
    /// white.
    /// </summary>
    public ImmutableDictionary<string, (double Stops, double Veil)> Off
    {
        get
        {
            Place mean = Mean(null);
            return _places.ToImmutableDictionary(
                p => p.Key,
                p => (Math.Log2(Luminance(p.Value.Factor) / Luminance(mean.Factor)), (p.Value.Veil - mean.Veil) / Luminance(mean.Factor)),
                StringComparer.Ordinal);
        }
    }

    // Weighted by each place's share of the picture.
    private Place Mean(string? without)
    {
        Place[] scene = [.. _places.Where(p => p.Key != without && !SampleLocality.IsChart(p.Key)).Select(p => p.Value)];
        Place[] places = scene.Length > 0 ? scene : [.. _places.Where(p => p.Key != without).Select(p => p.Value)];
        double total = places.Sum(p => p.Share);
        double Of(Func<Place, double> number) => places.Sum(p => p.Share * number(p)) / total;
        return new Place(
            new SceneRgb(Math.Exp(Of(p => Math.Log(p.Factor.R))), Math.Exp(Of(p => Math.Log(p.Factor.G))), Math.Exp(Of(p => Math.Log(p.Factor.B)))),
            Of(p => p.Veil),
            total);
    }

    private static double Share(FitSamples samples, string locality) => Math.Max(1, samples.Pairs
        .Where(p => p.Locality == locality && p.Place is not null)
        .Select(p => ((int)(p.Place!.Value.X / Square), (int)(p.Place.Value.Y / Square))).Distinct().Count());

    private static double Luminance(SceneRgb light) => (0.2126 * light.R) + (0.7152 * light.G) + (0.0722 * light.B);
}
