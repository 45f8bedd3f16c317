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
    private readonly ImmutableArray<string> _all;
    private readonly ImmutableArray<string> _named;
    private readonly FitSamples[] _others;

    /// <summary>Plans it.</summary>
    /// <param name="recorded">The pairs as recorded.</param>
    /// <param name="localities">What was found to belong to the places; null: nothing.</param>
    public UnseenPlaces(FitSamples recorded, Localities? localities)
    {
        (_recorded, _localities, _all) = (recorded, localities, Localities.Named(recorded));
        ImmutableArray<string> scene = [.. _all.Where(n => !SampleLocality.IsChart(n))];
        _named = scene.IsEmpty ? _all : scene;
        _others = [.. _named.Select(name =>
        {
            FitSamples evened = localities?.Evened(without: name) ?? recorded;
            return evened.With([.. evened.Pairs.Where(p => p.Locality != name)]).Condensed(MostFitted).Normalised();
        })];
    }

    /// <summary>The pairs are of several places.</summary>
    public bool IsPossible => !_named.IsEmpty;

    /// <summary>Differences on places left out, each place counting the same; null where the kind cannot be fitted to the others.</summary>
    /// <param name="fitter">Fits the kind; null: nothing is done.</param>
    /// <param name="identity">Doing nothing.</param>
    /// <param name="cancel">Stops the fits.</param>
    public DeltaEStatistics? Of(KindFitter? fitter, IdentityCorrection identity, CancellationToken cancel)
    {
        double[]?[] left = Differences(fitter, identity, cancel);
        return left.Any(d => d is null)
            ? null
            : DeltaEStatistics.Of([.. left.SelectMany(d => d!)], [.. left.Zip(_named, (d, name) => Weights(name).Select(w => w / Weights(name).Sum())).SelectMany(w => w)]);
    }

    /// <summary>Each place, the one with most pairs first.</summary>
    /// <param name="fitter">Fits the advised kind; null: nothing is done.</param>
    /// <param name="identity">Doing nothing.</param>
    /// <param name="cancel">Stops the fits.</param>
    public ImmutableArray<FittedPlace> Places(KindFitter? fitter, IdentityCorrection identity, CancellationToken cancel)
    {
        double[]?[] left = Differences(fitter, identity, cancel);
        return
        [
            .. _all.Select(name =>
            {
                int k = _named.IndexOf(name);
                (double stops, double veil) = _localities?.Off[name] ?? (0, 0);
                return new FittedPlace(
                    name, _recorded.Pairs.Count(p => p.Locality == name), stops, veil, DeltaEStatistics.Of(On(name, identity.Apply), Weights(name)), k >= 0 && left[k] is { } d ? DeltaEStatistics.Of(d, Weights(name)) : null);
            }).OrderByDescending(p => p.Pairs).ThenBy(p => p.Name, StringComparer.Ordinal),
        ];
    }

    private double[] Weights(string name) => [.. _recorded.Pairs.Where(p => p.Locality == name).Select(p => p.Weight)];

    private double[] On(string name, Func<CodeRgb, CodeRgb> map) =>
    [
        .. Enumerable.Range(0, _recorded.Count).Where(i => _recorded.Pairs[i].Locality == name)
            .Select(i => _recorded.DeltaE(i, map(_recorded.Pairs[i].Secondary))),
    ];

    private double[]?[] Differences(KindFitter? fitter, IdentityCorrection identity, CancellationToken cancel)
    {
        double[]?[] left = new double[_named.Length][];
        Parallel.For(0, _named.Length, new ParallelOptions { CancellationToken = cancel }, k =>
        {
            if (fitter?.WhyNot(SampleCoverage.Of(_others[k])) is null)
            {
                Func<CodeRgb, CodeRgb> map = fitter?.Fit(_others[k], null, cancel).Map ?? identity.Apply;
                left[k] = On(_named[k], map);
            }
        });
        return left;
    }
}
