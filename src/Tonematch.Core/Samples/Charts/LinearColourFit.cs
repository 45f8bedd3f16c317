namespace Tonematch.Samples.Charts;

/// <summary>Weighted least squares of colours on a few terms each: targets (3 a row) from terms (n a row).</summary>
internal static class LinearColourFit
{
    /// <summary>
    /// The n x 3 coefficients, row by row, that minimise the weighted squared error; null when the terms do not
    /// determine them. A trace of ridge (1e-9 of the mean diagonal) keeps nearly dependent terms finite.
    /// </summary>
    public static double[]? Solve(ReadOnlySpan<double> terms, int n, ReadOnlySpan<double> targets, ReadOnlySpan<double> weights)
    {
        double[] a = new double[n * n], b = new double[n * 3];
        for (int i = 0; i < weights.Length; i++)
        {
            double w = weights[i];
            if (w <= 0)
            {
                continue;
            }

            for (int r = 0; r < n; r++)
            {
                double t = w * terms[(i * n) + r];
                for (int c = 0; c < n; c++)
                {
                    a[(r * n) + c] += t * terms[(i * n) + c];
                }

                for (int c = 0; c < 3; c++)
                {
                    b[(r * 3) + c] += t * targets[(i * 3) + c];
                }
            }
        }

        double trace = 0;
        for (int i = 0; i < n; i++)
        {
            trace += a[(i * n) + i];
        }

        for (int i = 0; i < n; i++)
        {
            a[(i * n) + i] += 1e-9 * trace / n;
        }

        return Cholesky(a, b, n) ? b : null;
    }

    /// <summary>The robust fit: repeated with Tukey's weights (tuning 4.685) on the size of the error.</summary>
    /// <returns>The coefficients and each row's error; null when the terms do not determine them.</returns>
    public static (double[] Coefficients, double[] Errors)? SolveRobustly(
        double[] terms, int n, double[] targets, double[] weights, double smallestScale, int rounds = 12)
    {
        double[] w = [.. weights], sorted = new double[weights.Length];
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
            int used = 0;
            for (int i = 0; i < errors.Length; i++)
            {
                sorted[used] = errors[i];
                used += weights[i] > 0 ? 1 : 0;
            }

            Array.Sort(sorted, 0, used);
            double scale = Math.Max(smallestScale, 1.4826 * sorted[used / 2]);
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

    private static bool Cholesky(double[] a, double[] b, int n)
    {
        for (int j = 0; j < n; j++)
        {
            double d = a[(j * n) + j];
            for (int k = 0; k < j; k++)
            {
                d -= a[(j * n) + k] * a[(j * n) + k];
            }

            if (!(d > 0))
            {
                return false;
            }

            d = Math.Sqrt(d);
            a[(j * n) + j] = d;
            for (int i = j + 1; i < n; i++)
            {
                double s = a[(i * n) + j];
                for (int k = 0; k < j; k++)
                {
                    s -= a[(i * n) + k] * a[(j * n) + k];
                }

                a[(i * n) + j] = s / d;
            }
        }

        for (int c = 0; c < 3; c++)
        {
            for (int i = 0; i < n; i++)
            {
                double s = b[(i * 3) + c];
                for (int k = 0; k < i; k++)
                {
                    s -= a[(i * n) + k] * b[(k * 3) + c];
                }

                b[(i * 3) + c] = s / a[(i * n) + i];
            }

            for (int i = n - 1; i >= 0; i--)
            {
                double s = b[(i * 3) + c];
                for (int k = i + 1; k < n; k++)
                {
                    s -= a[(k * n) + i] * b[(k * 3) + c];
                }

                b[(i * 3) + c] = s / a[(i * n) + i];
            }
        }

        return true;
    }
}
