using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting.Models;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// Fits a <see cref="ParametricModel"/>: closed-form start, then Levenberg-Marquardt in rounds. Each round measures the
/// residual differences: their median sets where the robust loss becomes linear and where a pair counts as mismatched;
/// their noise sets the weight of the prior. If the data fit exactly, the noise and with it the prior vanish, so the
/// parameters are found exactly.
/// </summary>
/// <param name="kind">The kind.</param>
/// <param name="model">Its model.</param>
/// <param name="minPairs">The fewest pairs that can determine it.</param>
/// <param name="needsColours">
/// Whether colours other than greys are needed. Kinds that need none cannot follow a picture style: their residual is
/// mostly not noise and is not treated as noise.
/// </param>
internal sealed class ParametricFitter(CorrectionKind kind, Func<FitSamples, ParametricModel> model, int minPairs, bool needsColours) : KindFitter
{
    private const int MinRounds = 2;
    private const int MaxRounds = 8;

    // The loss never becomes linear below this difference, which is far from visible.
    private const double SmallestHuber = 0.5;

    // With fewer pairs a mismatch cannot be identified.
    private const int FewestForMismatch = 12;

    // The prior on a group's size counts as much as this many parameters of the expected size.
    private const double GroupStrength = 3;

    // A group's size is limited to this multiple of the expected size, which simulated cameras hardly need. In
    // photographs one colour of the secondary may correspond to many of the primary (a sky brighter at one side for one
    // camera): an unlimited fit follows them along tiny differences, and becomes extremely steep beside the pairs.
    private const double LargestSize = 1.5;

    // Larger differences do not count as noise, so that a poor starting point is not dominated by the prior.
    private const double LargestNoise = 4;

    public override CorrectionKind Kind => kind;

    public override string? WhyNot(SampleCoverage coverage) =>
        coverage.Distinct < minPairs
            ? $"{kind.Name()} needs at least {minPairs} different colours; there are {coverage.Distinct}."
            : needsColours && coverage.OnlyGreys
                ? $"{kind.Name()} needs colours other than greys: these samples hold greys only, or one hue."
                : null;

    public override Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel)
    {
        FitSamples original = samples;
        ParametricModel m = model(samples);
        int n = m.ParameterCount;
        double[] p = near?.Parameters ?? m.Start(samples);
        double[] centre = new double[n], nominal = new double[n], size = new double[n], precision = new double[n];
        m.Prior(centre, nominal);
        Array.Fill(size, 1);
        Loss loss = new(double.MaxValue, double.MaxValue);
        double noise = 1;
        if (near is not null)
        {
            (double median, _) = Differences(m, samples, p, loss);
            (loss, noise) = (LossFor(median, samples.Count), Math.Min(median / MedianOfThreeNormals, LargestNoise));
            samples = needsColours ? ErrorsInBoth.Adjusted(m, p, original, loss) : original;
        }

        LmResult result = new(p, 0, [], "");
        for (int round = 0; round < MaxRounds; round++)
        {
            for (int j = 0; j < n; j++)
            {
                precision[j] = noise * nominal[j] / size[j];
            }

            result = LevenbergMarquardt.Minimise(m, samples, p, loss, centre, precision, cancel);
            p = result.Parameters;
            double free = Resize(m, p, centre, nominal, size, noise, result.Variance);
            (double median, double sum) = Differences(m, samples, p, loss);
            double residuals = 3.0 * samples.Told;
            double next = Math.Min(Math.Sqrt(sum / Math.Max(1, residuals - free)), LargestNoise);
            bool settled = Math.Abs(next - noise) <= 0.05 * noise || noise < 1e-9;
            loss = LossFor(median, samples.Count);
            if (settled && round >= (near is null ? MinRounds : 1))
            {
                break;
            }

            noise = next;
            samples = needsColours ? ErrorsInBoth.Adjusted(m, p, original, loss) : original;
        }

        return new Fitted(m.ToCorrection(p, samples), p, result.HowItEnded) { AsFitted = samples };
    }

    // The median length of three normal residuals is 1.54 times the standard deviation of one (chi distribution, 3 degrees).
    private const double MedianOfThreeNormals = 1.54;

    private static Loss LossFor(double median, int count) => new(
        Math.Max(SmallestHuber, median),
        count < FewestForMismatch ? double.MaxValue : MismatchRule.Limit(median));

    // The number of parameters that the data really determine ('free'), and each group's size: D. J. C. MacKay,
    // 'Bayesian interpolation', Neural Computation 4(3), 1992, eq. 4.8 to 4.10, with a prior on the size.
    private static double Resize(
        ParametricModel model, double[] p, double[] centre, double[] nominal, double[] size, double noise, double[] variance)
    {
        int n = p.Length;
        Dictionary<int, (double Free, double Square)> groups = [];
        double free = 0;
        for (int j = 0; j < n; j++)
        {
            double q = noise * nominal[j] / size[j];
            double share = Math.Clamp(1 - (variance[j] * q * q), 0, 1);
            free += share;
            double z = (p[j] - centre[j]) * nominal[j];
            (double f, double s) = groups.GetValueOrDefault(model.GroupOf(j));
            groups[model.GroupOf(j)] = (f + share, s + (z * z));
        }

        for (int j = 0; j < n; j++)
        {
            if (model.GroupOf(j) is int g && g != 0)
            {
                size[j] = Math.Min(LargestSize, Math.Sqrt((groups[g].Square + GroupStrength) / (groups[g].Free + GroupStrength)));
            }
        }

        return free;
    }

    private static (double Median, double Sum) Differences(ParametricModel model, FitSamples samples, double[] p, Loss loss)
    {
        double[] d = new double[samples.Count], w = new double[samples.Count];
        Span<double> y = stackalloc double[3];
        model.Prepare(p);
        double sum = 0;
        for (int i = 0; i < d.Length; i++)
        {
            FitPair pair = samples.Pairs[i];
            model.Evaluate(p, pair, y);
            Lab seen = LevenbergMarquardt.Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2]);
            d[i] = Colour.DeltaE.DeltaE2000.Between(pair.PrimaryLab, seen);
            w[i] = pair.Weight;
            sum += w[i] * loss.Weight(d[i]) * d[i] * d[i];
        }

        return (DeltaEStatistics.Of(d, w).Median, sum);
    }
}
