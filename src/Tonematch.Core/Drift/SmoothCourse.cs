namespace Tonematch.Drift;

/// <summary>
/// A smooth curve through noisy values at uneven times that may jump: least squares with a penalty on the change from
/// one value to the next, both robust, so that an outlier does not bend it and a step is not blurred.
/// </summary>
/// <remarks>
/// Whittaker's smoother of first order (E. T. Whittaker, 'On a new method of graduation', Proc. Edinburgh Math. Soc.
/// 41, 1923) for uneven steps; Cauchy weights on residuals and changes, re-weighted until they converge (P. J. Huber,
/// Robust Statistics, 1981, 7.8). Each round solves a tridiagonal system (Thomas algorithm).
/// </remarks>
internal static class SmoothCourse
{
    // Cauchy's constant for 95 % efficiency at the normal distribution.
    private const double Cauchy = 2.385;

    // Only a change far beyond the usual pace is a step; a smaller constant would turn slopes into stairs.
    private const double StepCauchy = 8;
    private const int Rounds = 12;

    /// <param name="seconds">Ascending times.</param>
    /// <param name="values">As many.</param>
    /// <param name="errors">Standard errors above 0, as many.</param>
    /// <param name="pace">How far the curve usually moves in a second (standard deviation of its random walk), above 0.</param>
    public static double[] Through(double[] seconds, double[] values, double[] errors, double pace)
    {
        int n = values.Length;
        double[] course = [.. values];
        double[] keep = [.. errors.Select(e => 1 / (e * e))], hold = new double[Math.Max(0, n - 1)];
        for (int k = 0; k + 1 < n; k++)
        {
            hold[k] = 1 / (pace * pace * Math.Max(1e-6, seconds[k + 1] - seconds[k]));
        }

        double[] w = [.. keep], v = [.. hold];
        for (int round = 0; round < Rounds; round++)
        {
            course = Solve(values, w, v);
            for (int k = 0; k < n; k++)
            {
                double r = (values[k] - course[k]) * Math.Sqrt(keep[k]) / Cauchy;
                w[k] = keep[k] / (1 + (r * r));
            }

            for (int k = 0; k + 1 < n; k++)
            {
                double d = (course[k + 1] - course[k]) * Math.Sqrt(hold[k]) / StepCauchy;
                v[k] = hold[k] / (1 + (d * d));
            }
        }

        return course;
    }

    private static double[] Solve(double[] y, double[] w, double[] v)
    {
        int n = y.Length;
        double[] upper = new double[n], right = new double[n];
        for (int k = 0; k < n; k++)
        {
            double before = k > 0 ? v[k - 1] : 0, after = k + 1 < n ? v[k] : 0;
            double diagonal = w[k] + before + after + (k > 0 ? before * upper[k - 1] : 0);
            upper[k] = -after / diagonal;
            right[k] = ((w[k] * y[k]) + (k > 0 ? before * right[k - 1] : 0)) / diagonal;
        }

        double[] x = new double[n];
        x[n - 1] = right[n - 1];
        for (int k = n - 2; k >= 0; k--)
        {
            x[k] = right[k] - (upper[k] * x[k + 1]);
        }

        return x;
    }
}
