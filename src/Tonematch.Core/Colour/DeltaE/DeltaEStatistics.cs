namespace Tonematch.Colour.DeltaE;

/// <summary>Weighted statistics of colour differences (CIEDE2000 unless stated otherwise).</summary>
/// <param name="Count">The number of differences.</param>
/// <param name="Mean">Weighted mean.</param>
/// <param name="Median">Weighted median.</param>
/// <param name="Percentile95">The value below which 95 % of the weight lies.</param>
/// <param name="Max">The largest.</param>
public sealed record DeltaEStatistics(int Count, double Mean, double Median, double Percentile95, double Max)
{
    /// <summary>
    /// Computes the statistics; a percentile is the smallest value whose cumulative weight reaches the share.
    /// </summary>
    /// <exception cref="ArgumentException">No values, or the lengths differ, or no positive weight.</exception>
    public static DeltaEStatistics Of(ReadOnlySpan<double> deltaE, ReadOnlySpan<double> weights)
    {
        if (deltaE.IsEmpty || deltaE.Length != weights.Length)
        {
            throw new ArgumentException("Differences and weights must have the same length, at least 1.");
        }

        double[] values = deltaE.ToArray();
        double[] w = weights.ToArray();
        Array.Sort(values, w);
        double total = w.Sum();
        if (!(total > 0))
        {
            throw new ArgumentException("The weights must add up to more than 0.", nameof(weights));
        }

        double mean = 0, cumulated = 0;
        double? median = null, p95 = null;
        for (int i = 0; i < values.Length; i++)
        {
            mean += w[i] * values[i] / total;
            cumulated += w[i];
            median ??= cumulated >= 0.5 * total ? values[i] : null;
            p95 ??= cumulated >= 0.95 * total * (1 - 1e-12) ? values[i] : null;
        }

        return new DeltaEStatistics(values.Length, mean, median ?? values[^1], p95 ?? values[^1], values[^1]);
    }

    /// <summary>Statistics with equal weights.</summary>
    public static DeltaEStatistics Of(ReadOnlySpan<double> deltaE)
    {
        double[] ones = new double[deltaE.Length];
        Array.Fill(ones, 1);
        return Of(deltaE, ones);
    }
}
