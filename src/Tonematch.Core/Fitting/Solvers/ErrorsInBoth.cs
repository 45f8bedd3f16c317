using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Fitting.Models;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// If both recordings are noisy, a fit that treats the secondary's colours as exact is too flat: less contrast, less
/// saturation. Orthogonal distance regression divides the residual between the noise of both sides.
/// </summary>
/// <remarks>
/// P. T. Boggs, R. H. Byrd and R. B. Schnabel, 'A stable and efficient algorithm for nonlinear orthogonal distance
/// regression', SIAM J. Sci. Stat. Comput. 8(6), 1987: each secondary colour has a most likely true place near it, and
/// the fit is linearised there. Here these places are updated between the rounds of the fit. Two cameras differ by more
/// than noise; only the residual beyond <see cref="Difference"/> counts as noise, equally on both sides.
/// </remarks>
internal static class ErrorsInBoth
{
    /// <summary>
    /// The residual of two noise-free cameras in one component of CIEDE2000 with the right kind of correction.
    /// </summary>
    private const double Difference = 0.3;

    // Largest standard deviation of a channel's code values that can be noise: five codes of 8 bits. A larger residual
    // is something the kind cannot follow, such as different light on some of the pairs. Treated as noise, it would
    // move colours to wherever they fit.
    private const double LargestNoise = 0.02;

    // The share of the mean square of normal residuals that remains under Huber's loss with its bend at the median
    // (three equal components; 0.5 with one).
    private const double HuberShare = 0.75;

    /// <summary>
    /// The pairs with each secondary colour at its most likely place, and weights that account for noise.
    /// </summary>
    /// <param name="model">The kind.</param>
    /// <param name="p">Its current parameters.</param>
    /// <param name="samples">The pairs as recorded.</param>
    /// <param name="loss">The robust loss.</param>
    public static FitSamples Adjusted(ParametricModel model, double[] p, FitSamples samples, Loss loss)
    {
        model.Prepare(p);
        Local[] local = [.. samples.Pairs.Select(pair => new Local(model, p, samples, pair, loss))];
        double square = 0, gain = 0, weight = 0, members = 0;
        for (int i = 0; i < local.Length; i++)
        {
            double w = local[i].LossWeight > 0 ? samples.Pairs[i].Weight : 0;
            square += w * local[i].LossWeight * local[i].SquaredDifference;
            gain += w * local[i].Gain;
            weight += w;
            members += samples.Pairs[i].Members;
        }

        double left = square / (weight * 3 * HuberShare), difference = Difference * Difference, excess = left - difference;
        if (!(excess > 0))
        {
            return samples;
        }

        // Variance of the noise of one pair in one channel's code values.
        double noise = excess * (members / local.Length) / (gain / weight), share = Math.Min(1, LargestNoise * LargestNoise / noise);
        noise *= share;
        difference += (1 - share) * excess;
        ImmutableArray<FitPair>.Builder adjusted = ImmutableArray.CreateBuilder<FitPair>(local.Length);
        for (int i = 0; i < local.Length; i++)
        {
            adjusted.Add(local[i].Adjusted(samples, samples.Pairs[i], difference, noise / samples.Pairs[i].Members));
        }

        return samples.With(adjusted.MoveToImmutable()).Normalised();
    }

    // One pair, linearised.
    private sealed class Local
    {
        private readonly double[] _residual = new double[3];
        private readonly double[] _fromSecondary = new double[9]; // residual by the secondary's code values, row by row
        private readonly double[] _labBySecondary = new double[9]; // CIELAB of the result by them
        private readonly double[] _both = new double[9]; // sum of products of both sides' derivatives

        public Local(ParametricModel model, double[] p, FitSamples samples, FitPair pair, Loss loss)
        {
            SignalEncoding e = samples.PrimaryEncoding;
            double[] y = new double[3], metric = new double[9];
            Lab Seen(FitPair at)
            {
                model.Evaluate(p, at, y);
                return LevenbergMarquardt.Seen(model, e, at, y[0], y[1], y[2]);
            }

            Lab seen = Seen(pair);
            double d = PerceivedDifference.Metric(pair.PrimaryLab, seen, _residual, metric);
            LossWeight = loss.Weight(d);
            SquaredDifference = d * d;
            double[] fromPrimary = new double[9], primaryLab = new double[9];
            const double h = 1e-4;
            for (int c = 0; c < 3; c++)
            {
                Set(_labBySecondary, c, Seen(samples.Moved(pair, Step(pair.Secondary, c, h))), seen, h);
                Set(primaryLab, c, e.ToLab(Step(pair.PrimaryCode, c, h)), e.ToLab(pair.PrimaryCode), h);
            }

            Product(metric, _labBySecondary, _fromSecondary);
            Product(metric, primaryLab, fromPrimary);
            for (int r = 0; r < 3; r++)
            {
                for (int c = 0; c < 3; c++)
                {
                    for (int k = 0; k < 3; k++)
                    {
                        _both[(3 * r) + c] += (_fromSecondary[(3 * r) + k] * _fromSecondary[(3 * c) + k]) + (fromPrimary[(3 * r) + k] * fromPrimary[(3 * c) + k]);
                    }
                }
            }
        }

        public double LossWeight { get; }

        public double SquaredDifference { get; }

        /// <summary>Variance of one component for a variance of 1 in each code value of both sides.</summary>
        public double Gain => (_both[0] + _both[4] + _both[8]) / 3;

        public FitPair Adjusted(FitSamples samples, FitPair pair, double difference, double noise)
        {
            double weight = pair.Weight / (difference + (noise * Gain));
            if (pair.PrimaryClipped || pair.SecondaryClipped || LossWeight == 0)
            {
                return pair with { Weight = weight };
            }

            // step = -noise G' C^-1 r
            Matrix3 c = new(
                difference + (noise * _both[0]), noise * _both[1], noise * _both[2],
                noise * _both[3], difference + (noise * _both[4]), noise * _both[5],
                noise * _both[6], noise * _both[7], difference + (noise * _both[8]));
            (double r0, double r1, double r2) = c.Inverse().Times(_residual[0], _residual[1], _residual[2]);
            double[] step = new double[3];
            for (int k = 0; k < 3; k++)
            {
                step[k] = -noise * ((_fromSecondary[k] * r0) + (_fromSecondary[3 + k] * r1) + (_fromSecondary[6 + k] * r2));
            }

            double Shift(int row) =>
                (_labBySecondary[3 * row] * step[0]) + (_labBySecondary[(3 * row) + 1] * step[1]) + (_labBySecondary[(3 * row) + 2] * step[2]);
            FitPair moved = samples.Moved(
                pair, new CodeRgb(pair.Secondary.R + step[0], pair.Secondary.G + step[1], pair.Secondary.B + step[2]));
            return moved with
            {
                PrimaryLab = new Lab(pair.PrimaryLab.L + Shift(0), pair.PrimaryLab.A + Shift(1), pair.PrimaryLab.B + Shift(2)),
                Weight = weight,
            };
        }

        private static CodeRgb Step(CodeRgb c, int channel, double h) => channel switch
        {
            0 => c with { R = c.R + h },
            1 => c with { G = c.G + h },
            _ => c with { B = c.B + h },
        };

        private static void Set(double[] to, int column, Lab moved, Lab from, double h)
        {
            to[column] = (moved.L - from.L) / h;
            to[3 + column] = (moved.A - from.A) / h;
            to[6 + column] = (moved.B - from.B) / h;
        }

        private static void Product(double[] a, double[] b, double[] to)
        {
            for (int r = 0; r < 3; r++)
            {
                for (int c = 0; c < 3; c++)
                {
                    to[(3 * r) + c] = (a[3 * r] * b[c]) + (a[(3 * r) + 1] * b[3 + c]) + (a[(3 * r) + 2] * b[6 + c]);
                }
            }
        }
    }
}
