using Tonematch.Numerics;

namespace Tonematch.Samples.Charts;

/// <summary>Weighted least squares of colours on a few terms: targets (3 per row) from terms (n per row).</summary>
internal static class LinearColourFit
{
    /// <summary>
    /// The n x 3 coefficients, row by row, that minimise the weighted squared error; null if the terms do not determine
    /// them. A small ridge term (1e-9 of the mean diagonal) keeps nearly dependent terms finite.
    /// </summary>
    public static double[]? Solve(ReadOnlySpan<double> terms, int n, ReadOnlySpan<double> targets, ReadOnlySpan<double> weights)
    {
        int stride = CholeskyFactor.StrideOf(n);
        double[] a = new double[n * stride];
        double[][] b = [new double[n], new double[n], new double[n]];
        for (int i = 0; i < weights.Length; i++)
        {
            double w = weights[i];
            for (int r = 0; r < n && w > 0; r++)
            {
                double t = w * terms[(i * n) + r];
                for (int c = 0; c <= r; c++)
                {
                    a[(r * stride) + c] += t * terms[(i * n) + c];
                }

                for (int c = 0; c < 3; c++)
                {
                    b[c][r] += t * targets[(i * 3) + c];
                }
            }
        }

        double ridge = 1e-9 * Enumerable.Range(0, n).Average(i => a[(i * stride) + i]);
        CholeskyFactor factor = new(n, stride);
        if (!factor.Decompose(a, _ => ridge))
        {
            return null;
        }

        double[] m = new double[n * 3];
        for (int c = 0; c < 3; c++)
        {
            factor.Solve(b[c]);
            for (int r = 0; r < n; r++)
            {
                m[(r * 3) + c] = b[c][r];
            }
        }

        return m;
    }

    /// <summary>The robust fit: repeated with Tukey's weights (tuning 4.685) on the size of the error.</summary>
    /// <returns>The coefficients and each row's error; null if the terms do not determine them.</returns>
    public static (double[] Coefficients, double[] Errors)? SolveRobustly(
        double[] terms, int n, double[] targets, double[] weights, double smallestScale, int rounds = 12)
    {
        double[] w = [.. weights];
        double[]? m = null;
        double[] errors = [];
        for (int round = 0; round < rounds; round++)
        {
            m = Solve(terms, n, targets, w);
            if (m is null)
            {
                return null;
            }

            errors = Errors(terms, n, targets, m);
            double scale = Math.Max(smallestScale, Median.Deviation(errors.Where((_, i) => weights[i] > 0)));
            for (int i = 0; i < w.Length; i++)
            {
                double u = errors[i] / (4.685 * scale);
                w[i] = u < 1 ? weights[i] * (1 - (u * u)) * (1 - (u * u)) : 0;
            }
        }

        return m is null ? null : (m, errors);
    }

    /// <summary>Euclidean length of each row's error.</summary>
    public static double[] Errors(ReadOnlySpan<double> terms, int n, ReadOnlySpan<double> targets, ReadOnlySpan<double> m)
    {
        double[] errors = new double[targets.Length / 3];
        for (int i = 0; i < errors.Length; i++)
        {
            double sum = 0;
            for (int c = 0; c < 3; c++)
            {
                double e = targets[(i * 3) + c];
                for (int r = 0; r < n; r++)
                {
                    e -= terms[(i * n) + r] * m[(r * 3) + c];
                }

                sum += e * e;
            }

            errors[i] = Math.Sqrt(sum);
        }

        return errors;
    }
}
