using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// The error of a kind of correction on a place left out of its fit: each locality is left out in turn, and its pairs
/// are scored as recorded, since nothing is known about a place where nothing was compared. A chart stays in the fit if
/// there are other places: it supplies the colours, and without it the test would measure unseen colours, not unseen
/// places.
/// </summary>
internal sealed class UnseenPlaces
{
    // Larger sets are condensed, as in cross-validation.
    private const int MostFitted = 600;

    private readonly FitSamples _recorded;
    private readonly Localities? _localities;
    private readonly ImmutableArray<(string Name, int[] Pairs, double[] Weights)> _all;
    private readonly ImmutableArray<int> _leftOut;
    private readonly (FitSamples Samples, SampleCoverage Coverage)[] _others;

    /// <summary>Plans the test.</summary>
    /// <param name="recorded">The pairs as recorded.</param>
    /// <param name="localities">The estimated effects of places; null for none.</param>
    public UnseenPlaces(FitSamples recorded, Localities? localities)
    {
        (_recorded, _localities) = (recorded, localities);
        _all =
        [
            .. Localities.Named(recorded).Select(name =>
            {
                int[] pairs = [.. Enumerable.Range(0, recorded.Count).Where(i => recorded.Pairs[i].Locality == name)];
                return (name, pairs, pairs.Select(i => recorded.Pairs[i].Weight).ToArray());
            }),
        ];
        ImmutableArray<int> every = [.. Enumerable.Range(0, _all.Length)], scene = [.. every.Where(k => !SampleLocality.IsChart(_all[k].Name))];
        _leftOut = scene.IsEmpty ? every : scene;
        _others = [.. _leftOut.Select(k =>
        {
            string name = _all[k].Name;
            FitSamples evened = localities?.Evened(without: name) ?? recorded;
            FitSamples others = evened.With([.. evened.Pairs.Where(p => p.Locality != name)]).Condensed(MostFitted).Normalised();
            return (others, SampleCoverage.Of(others));
        })];
    }

    /// <summary>Whether the pairs come from several places.</summary>
    public bool IsPossible => !_leftOut.IsEmpty;

    /// <summary>
    /// The error of a kind on each place left out, pair by pair; null for a place without which the kind cannot be
    /// fitted.
    /// </summary>
    /// <param name="fitter">Fits the kind; null for doing nothing.</param>
    /// <param name="whole">The fit to all pairs, where the fits begin; for doing nothing, its result.</param>
    /// <param name="cancel">Stops the fits.</param>
    public double[]?[] Differences(KindFitter? fitter, Fitted whole, CancellationToken cancel)
    {
        double[]?[] left = new double[_leftOut.Length][];
        Parallel.For(0, left.Length, new ParallelOptions { CancellationToken = cancel }, k =>
        {
            (FitSamples samples, SampleCoverage coverage) = _others[k];
            if (fitter?.WhyNot(coverage) is null)
            {
                left[k] = On(_leftOut[k], (fitter?.Fit(samples, whole, cancel) ?? whole).Map);
            }
        });
        return left;
    }

    /// <summary>
    /// The overall statistics, with equal weight for each place; null if the kind cannot be fitted without one of them.
    /// </summary>
    /// <param name="left">The result of <see cref="Differences"/>.</param>
    public DeltaEStatistics? Of(double[]?[] left)
    {
        if (left.Any(d => d is null))
        {
            return null;
        }

        IEnumerable<double> Shares(double[] weights)
        {
            double sum = weights.Sum();
            return weights.Select(w => w / sum);
        }

        return DeltaEStatistics.Of([.. left.SelectMany(d => d!)], [.. _leftOut.SelectMany(k => Shares(_all[k].Weights))]);
    }

    /// <summary>Each place, the one with the most pairs first.</summary>
    /// <param name="left">The error of the advised kind, from <see cref="Differences"/>.</param>
    /// <param name="identity">Doing nothing.</param>
    public ImmutableArray<FittedPlace> Places(double[]?[] left, IdentityCorrection identity)
    {
        ImmutableDictionary<string, (double Stops, double Veil)>? off = _localities?.Off;
        return
        [
            .. _all.Select((place, k) =>
            {
                (double stops, double veil) = off?[place.Name] ?? (0, 0);
                int number = _leftOut.IndexOf(k);
                return new FittedPlace(
                    place.Name, place.Pairs.Length, stops, veil, DeltaEStatistics.Of(On(k, identity.Apply), place.Weights),
                    number >= 0 && left[number] is { } d ? DeltaEStatistics.Of(d, place.Weights) : null);
            }).OrderByDescending(p => p.Pairs).ThenBy(p => p.Name, StringComparer.Ordinal),
        ];
    }

    private double[] On(int place, Func<CodeRgb, CodeRgb> map) =>
        [.. _all[place].Pairs.Select(i => _recorded.DeltaE(i, map(_recorded.Pairs[i].Secondary)))];
}
