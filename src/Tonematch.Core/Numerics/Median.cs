namespace Tonematch.Numerics;

/// <summary>The median and the median-based standard deviation.</summary>
public static class Median
{
    // The median absolute deviation times this estimates a normal distribution's standard deviation.
    private const double ToDeviation = 1.4826;

    /// <summary>The middle value, or the mean of the two middle ones for an even count; 0 for none.</summary>
    public static double Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values];
        Array.Sort(sorted);
        int n = sorted.Length;
        return n == 0 ? 0 : n % 2 == 1 ? sorted[n / 2] : (sorted[(n / 2) - 1] + sorted[n / 2]) / 2;
    }

    /// <summary>
    /// The standard deviation about <paramref name="centre"/>, estimated from the median absolute deviation: 1.4826
    /// times the median distance, so that up to half of the values may be wrong (Hampel 1974).
    /// </summary>
    public static double Deviation(IEnumerable<double> values, double centre = 0) => ToDeviation * Of(values.Select(v => Math.Abs(v - centre)));
}
