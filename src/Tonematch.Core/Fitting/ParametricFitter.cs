using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>
/// Fits a <see cref="ParametricModel"/>: closed-form start, then Levenberg-Marquardt in rounds. Each round measures the
/// size of the differences that are left; it sets where the robust loss turns linear and how much the prior counts. On
/// data that fit exactly that size goes to 0 and with it the prior, so the numbers are found exactly.
/// </summary>
/// <param name="kind">Which kind.</param>
/// <param name="model">Its numbers.</param>
/// <param name="minPairs">The fewest pairs that can determine it.</param>
/// <param name="needsColours">Whether colours beside greys are needed.</param>
internal sealed class ParametricFitter(CorrectionKind kind, Func<ParametricModel> model, int minPairs, bool needsColours) : KindFitter
{
    private const int MaxRounds = 8;

    // The loss never turns linear below this difference: it is far below what can be seen.
    private const double SmallestHuber = 0.5;

    public override CorrectionKind Kind => kind;

    public override string? WhyNot(SampleCoverage coverage) =>
        coverage.Distinct < minPairs
            ? $"{kind.Name()} needs at least {minPairs} different colours; there are {coverage.Distinct}."
            : needsColours && coverage.OnlyGreys
                ? $"{kind.Name()} needs colours beside greys: these samples hold greys only, or one hue."
                : null;

    public override Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel)
    {
        ParametricModel m = model();
        double[] p = near?.Parameters ?? m.Start(samples);
        double huber = double.MaxValue, scale = 2;
        if (near is not null)
        {
            (huber, scale) = Sizes(m, samples, p);
        }

        LmResult result = new(p, 0, "");
        for (int round = 0; round < MaxRounds; round++)
        {
            result = LevenbergMarquardt.Minimise(m, samples, p, huber, scale, cancel);
            p = result.Parameters;
            (double nextHuber, double nextScale) = Sizes(m, samples, p);
            bool settled = round > 0 && Math.Abs(nextScale - scale) <= 0.1 * scale;
            if (settled || (scale < 1e-9 && round > 0))
            {
                break;
            }

            (huber, scale) = (nextHuber, nextScale);
        }

        return new Fitted(m.ToCorrection(p, samples), p, result.HowItEnded);
    }

    // Where Huber's loss turns linear, and the noise of one residual, from the weighted median difference. The median
    // length of three normal residuals is 1.54 times the standard deviation of one (chi distribution, 3 degrees).
    private static (double Huber, double Scale) Sizes(ParametricModel model, FitSamples samples, double[] p)
    {
        double[] d = new double[samples.Count], w = new double[samples.Count];
        double[] dy = new double[3 * model.ParameterCount];
        Span<double> y = stackalloc double[3];
        for (int i = 0; i < d.Length; i++)
        {
            FitPair pair = samples.Pairs[i];
            model.Evaluate(p, pair, y, dy);
            Lab seen = LevenbergMarquardt.Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2]);
            d[i] = Colour.DeltaE.DeltaE2000.Between(pair.PrimaryLab, seen);
            w[i] = pair.Weight;
        }

        double median = DeltaEStatistics.Of(d, w).Median;

        // Numbers spent on the fit make the rest look smaller than the noise is.
        double degrees = Math.Max(3.0, (3.0 * samples.Count) - model.ParameterCount) / (3.0 * samples.Count);
        return (Math.Max(SmallestHuber, median), Math.Min(median / 1.54 / Math.Sqrt(degrees), 4));
    }
}
