namespace Tonematch.Numerics;

/// <summary>A line fitted to points of which some are wrong.</summary>
/// <param name="Value">The line's value at <paramref name="At"/>.</param>
/// <param name="At">Weighted mean of the points' x.</param>
/// <param name="Slope">Its slope.</param>
/// <param name="ValueError">Standard error of the value at <paramref name="At"/>.</param>
/// <param name="SlopeError">Standard error of the slope.</param>
/// <param name="MedianResidual">Median absolute residual.</param>
internal readonly record struct RobustLine(
    double Value, double At, double Slope, double ValueError, double SlopeError, double MedianResidual)
{
    public double ValueAt(double x) => Value + (Slope * (x - At));

    /// <summary>
    /// Starts with the median of the slopes between all pairs (Theil 1950, Sen 1968), then least squares with Tukey's
    /// biweight (c = 4.685; Holland and Welsch 1977), reweighted until it converges.
    /// </summary>
    /// <param name="x">The points' x.</param>
    /// <param name="y">The points' y, as many.</param>
    /// <param name="weights">Weights above 0, as many.</param>
    /// <param name="withSlope">False fixes the slope at 0 (a robust mean).</param>
    /// <param name="smallestScale">The accuracy of a value; residuals below it are not outliers.</param>
    public static RobustLine Fit(double[] x, double[] y, double[] weights, bool withSlope, double smallestScale)
    {
        double slope = 0;
        if (withSlope && x.Length > 1)
        {
            List<double> slopes = [];
            for (int i = 0; i < x.Length; i++)
            {
                for (int j = i + 1; j < x.Length; j++)
                {
                    if (x[j] != x[i])
                    {
                        slopes.Add((y[j] - y[i]) / (x[j] - x[i]));
                    }
                }
            }

            slope = slopes.Count > 0 ? Median.Of(slopes) : 0;
        }

        double at = 0, value = Median.Of(x.Zip(y, (a, b) => b - (slope * a)));
        double[] w = [.. weights];
        double scale = smallestScale, total = 0, moment = 0;
        for (int round = 0; round < 30; round++)
        {
            double[] residuals = [.. x.Select((a, i) => y[i] - value - (slope * (a - at)))];
            scale = Math.Max(smallestScale, Median.Deviation(residuals));
            for (int i = 0; i < w.Length; i++)
            {
                double u = residuals[i] / (4.685 * scale);
                w[i] = Math.Abs(u) < 1 ? weights[i] * (1 - (u * u)) * (1 - (u * u)) : 0;
            }

            total = w.Sum();
            at = x.Select((a, i) => w[i] * a).Sum() / total;
            value = y.Select((b, i) => w[i] * b).Sum() / total;
            moment = x.Select((a, i) => w[i] * (a - at) * (a - at)).Sum();
            slope = withSlope && moment > 0 ? x.Select((a, i) => w[i] * (a - at) * (y[i] - value)).Sum() / moment : 0;
        }

        double[] last = [.. x.Select((a, i) => y[i] - value - (slope * (a - at)))];
        double square = last.Select((r, i) => w[i] * r * r).Sum() / total;
        double largest = w.Max();
        double count = total / largest;
        double error = Math.Sqrt(Math.Max(square, smallestScale * smallestScale));
        return new RobustLine(
            value, at, slope, error / Math.Sqrt(count), moment > 0 ? error / Math.Sqrt(moment / largest) : double.PositiveInfinity,
            Median.Of(last.Select(Math.Abs)));
    }
}
