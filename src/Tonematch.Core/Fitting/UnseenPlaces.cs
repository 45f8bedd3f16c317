using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// What a kind of correction leaves on a place that had no part in its fit: each locality is left out in turn, and its pairs are
/// scored as recorded, since nothing is known of a place where nothing was compared. A chart stays in the fit where there are other
/// places: it tells colours apart, and without it unseen colours would be measured, not unseen places.
/// </summary>
internal sealed class UnseenPlaces
{
    // More pairs than this are condensed, as in cross-validation.
    private const int MostFitted = 600;

    private readonly FitSamples _recorded;
    private readonly Localities? _localities;
    private readonly ImmutableArray<(string Name, int[] Pairs, double[] Weights)> _all;
    private readonly ImmutableArray<int> _leftOut;
    private readonly (FitSamples Samples, SampleCoverage Coverage)[] _others;

    /// <summary>Plans it.</summary>
    /// <param name="recorded">The pairs as recorded.</param>
    /// <param name="localities">What was found to belong to the places; null: nothing.</param>
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

    /// <summary>The pairs are of several places.</summary>
    public bool IsPossible => !_leftOut.IsEmpty;

    /// <summary>What a kind leaves on each place left out, pair by pair; null for a place whose absence it cannot be fitted in.</summary>
    /// <param name="fitter">Fits the kind; null: nothing is done.</param>
    /// <param name="identity">Doing nothing.</param>
    /// <param name="cancel">Stops the fits.</param>
    public double[]?[] Differences(KindFitter? fitter, IdentityCorrection identity, CancellationToken cancel)
    {
        double[]?[] left = new double[_leftOut.Length][];
        Parallel.For(0, left.Length, new ParallelOptions { CancellationToken = cancel }, k =>
        {
            (FitSamples samples, SampleCoverage coverage) = _others[k];
            if (fitter?.WhyNot(coverage) is null)
            {
                left[k] = On(_leftOut[k], fitter?.Fit(samples, null, cancel).Map ?? identity.Apply);
            }
        });
        return left;
    }

    /// <summary>The whole, each place counting the same; null where the kind cannot be fitted without one of them.</summary>
    /// <param name="left">As <see cref="Differences"/> gives it.</param>
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

    /// <summary>Each place, the one with most pairs first.</summary>
    /// <param name="left">What the advised kind leaves, as <see cref="Differences"/> gives it.</param>
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
