namespace Tonematch.Numerics;

/// <summary>The median and the spread that goes with it.</summary>
public static class Median
{
    // The median absolute deviation times this estimates a normal distribution's standard deviation.
    private const double ToDeviation = 1.4826;

    /// <summary>The middle value, the mean of the two middle ones of an even number; 0 of none.</summary>
    public static double Of(IEnumerable<double> values)
    {
        double[] sorted = [.. values];
        Array.Sort(sorted);
        int n = sorted.Length;
        return n == 0 ? 0 : n % 2 == 1 ? sorted[n / 2] : (sorted[(n / 2) - 1] + sorted[n / 2]) / 2;
    }

    /// <summary>
    /// The standard deviation about <paramref name="centre"/> as the median absolute deviation tells it: 1.4826 times
    /// the median distance, so that up to half of the values may be wrong (Hampel 1974).
    /// </summary>
    public static double Deviation(IEnumerable<double> values, double centre = 0) => ToDeviation * Of(values.Select(v => Math.Abs(v - centre)));
}
