using Tonematch.Corrections;
using Tonematch.Fitting.Models;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting;

/// <summary>
/// Light that falls differently on a chart in the two pictures, from lamps seen from two places or lenses that darken
/// towards the edge. It depends on the place, not on the colour. A chart's greys are all in one row: if uneven light is
/// mistaken for colour, the fit of both greys and colours suffers.
/// </summary>
internal static class Shading
{
    // Fewer cannot separate a slope of the light from colour; more do not come from one chart, and would take too long.
    private const int FewestPairs = 12;
    private const int MostPairs = 600;

    /// <summary>
    /// The pairs as if the light had been equally distributed in both pictures; the same object if their places are
    /// unknown or uneven light does not explain enough.
    /// </summary>
    /// <param name="samples">The pairs as recorded.</param>
    /// <param name="coverage">The coverage of the pairs.</param>
    /// <param name="even">Fits curves-matrix to the pairs as recorded.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <remarks>
    /// A surface of second degree is fitted together with curves-matrix, the kind with the smallest unexplained
    /// remainder. It is accepted if it explains more than its numbers would by chance: G. Schwarz, 'Estimating the
    /// dimension of a model', Annals of Statistics 6(2), 1978.
    /// </remarks>
    public static FitSamples Evened(FitSamples samples, SampleCoverage coverage, KindFitter even, CancellationToken cancel)
    {
        if (samples.Count is < FewestPairs or > MostPairs || samples.Pairs.Any(p => p.Place is null) || even.WhyNot(coverage) is not null)
        {
            return samples;
        }

        ShadedModel model = new(new CurvesMatrixModel(samples), samples);
        Fitted without = even.Fit(samples, null, cancel);
        Fitted with = new ParametricFitter(CorrectionKind.CurvesMatrix, _ => model, minPairs: 5, needsColours: true).Fit(samples, null, cancel);
        FitSamples evened = samples.With([.. samples.Pairs.Select(p => samples.Lit(p, Math.Exp(model.LogLight(with.Parameters, p))))]);
        double residuals = 3.0 * samples.Count;
        double gained = residuals * Math.Log(SumOfSquares(samples, without) / SumOfSquares(evened, with));
        return gained > ShadedModel.Terms * Math.Log(residuals) ? evened : samples;
    }

    /// <summary>The largest difference between the places, as a factor; 1 if the pairs are as recorded.</summary>
    public static double Range(FitSamples recorded, FitSamples evened)
    {
        double least = double.PositiveInfinity, most = 0;
        foreach ((FitPair a, FitPair b) in recorded.Pairs.Zip(evened.Pairs))
        {
            double factor = a.Light.G > 0 ? b.Light.G / a.Light.G : 1;
            (least, most) = (Math.Min(least, factor), Math.Max(most, factor));
        }

        return most / least;
    }

    // Never 0, so that pairs that fit exactly count as even.
    internal static double SumOfSquares(FitSamples samples, Fitted fitted)
    {
        double sum = 1e-6;
        for (int i = 0; i < samples.Count; i++)
        {
            double d = samples.DeltaE(i, fitted.Map(samples.Pairs[i].Secondary));
            sum += samples.Pairs[i].Weight * d * d;
        }

        return sum;
    }
}
