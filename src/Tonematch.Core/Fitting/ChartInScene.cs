using System.Collections.Immutable;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Numerics;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// Joins a chart's colours and those of the surrounding scene into one set. The chart has clean, evenly distributed
/// colours; the scene shows how the whole picture differs between the cameras. If the chart's relation holds in the
/// scene, the chart is the better source; the less it holds, the more the scene counts.
/// </summary>
public static class ChartInScene
{
    // Median CIEDE2000 left on the scene by a fit to the chart alone at which the scene gets half of its largest
    // weight. Recognised objects, or those in the chart's plane, scatter by about one where cameras treat the whole
    // picture alike.
    private const double Disagreement = 3;

    // The largest weight of the whole scene relative to the chart.
    private const double Most = 10;

    // Keeps the scene in the fit, so that every figure includes it.
    private const double Least = 0.02;

    private static readonly FitOptions s_chartAlone = new() { Kinds = [CorrectionKind.Gains, CorrectionKind.Matrix, CorrectionKind.CurvesMatrix] };

    /// <summary>
    /// Both as one set of the chart's method. The scene's pairs are weighted by the density of their colours, and
    /// together by the error that a fit to the chart alone leaves on them; their localities are named after parts of
    /// the picture.
    /// </summary>
    /// <param name="chart">The chart's pairs.</param>
    /// <param name="scene">Pairs from the rest of both pictures, in the same encodings.</param>
    /// <param name="cancel">Stops the work.</param>
    public static SampleSet Joined(SampleSet chart, IReadOnlyList<SamplePair> scene, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(chart);
        ArgumentNullException.ThrowIfNull(scene);
        if (scene.Count == 0 || chart.Pairs.IsEmpty)
        {
            return chart;
        }

        ImmutableArray<SamplePair> weighed = DensityWeights.Apply(scene, chart.PrimaryEncoding, chart.SecondaryEncoding, int.MaxValue);
        double part = Weight(chart, scene, cancel) * chart.Pairs.Sum(p => p.Weight) / weighed.Sum(p => p.Weight);
        return chart with
        {
            Pairs =
            [
                .. chart.Pairs,
                .. SampleLocality.Named([.. weighed.Select(p => p with { Weight = part * p.Weight })], chart.PrimaryEncoding, chart.SecondaryEncoding),
            ],
        };
    }

    private static double Weight(SampleSet chart, IReadOnlyList<SamplePair> scene, CancellationToken cancel)
    {
        Correction correction;
        try
        {
            correction = CorrectionFitting.Fit(chart, s_chartAlone, cancel).Advised.Correction;
        }
        catch (NoTrustworthyResultException)
        {
            // The chart alone does not support a fit; with the scene it may.
            return Most;
        }

        double left = Median.Of(scene.Select(p => DeltaE2000.Between(
            chart.PrimaryEncoding.ToLab(p.Primary.Clamped()), chart.PrimaryEncoding.ToLab(correction.Apply(p.Secondary).Clamped()))));
        double size = Math.Pow(left / Disagreement, 4);
        return Math.Max(Least, Most * size / (1 + size));
    }
}
