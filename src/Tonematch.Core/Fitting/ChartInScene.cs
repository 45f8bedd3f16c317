using System.Collections.Immutable;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Numerics;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// A chart's colours and those of the scene it was shown in as one set. The chart tells colours apart, cleanly and evenly; the scene
/// tells how the picture as a whole goes from camera to camera. Where what the chart says holds in the scene, the chart knows best;
/// the more it does not, the more the scene counts.
/// </summary>
public static class ChartInScene
{
    // Median CIEDE2000 left on the scene by a fit to the chart alone at which the scene counts half of what it can: things that
    // were recognised, or lie in the chart's plane, scatter by one or so where cameras do the same everywhere.
    private const double Disagreement = 3;

    // What all of the scene then weighs against the chart at most.
    private const double Most = 10;

    // So that the scene is in the fit at all, and every figure shows it.
    private const double Least = 0.02;

    private static readonly FitOptions s_chartAlone = new() { Kinds = [CorrectionKind.Gains, CorrectionKind.Matrix, CorrectionKind.CurvesMatrix] };

    /// <summary>
    /// Both as one set of the chart's method. The scene's pairs are weighed by how densely their colours lie, and all of them together
    /// by how much a fit to the chart alone leaves on them; their localities are named by parts of the picture.
    /// </summary>
    /// <param name="chart">The chart's pairs.</param>
    /// <param name="scene">Pairs of what else both pictures show, of the same encodings.</param>
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
            // The chart alone carries no fit; with the scene it may.
            return Most;
        }

        double left = Median.Of(scene.Select(p => DeltaE2000.Between(
            chart.PrimaryEncoding.ToLab(p.Primary.Clamped()), chart.PrimaryEncoding.ToLab(correction.Apply(p.Secondary).Clamped()))));
        double size = Math.Pow(left / Disagreement, 4);
        return Math.Max(Least, Most * size / (1 + size));
    }
}
