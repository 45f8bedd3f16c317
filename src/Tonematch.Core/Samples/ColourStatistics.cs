using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>The measurement of one flat area of a picture: a robust mean, its spread, and the clipped share.</summary>
/// <param name="Mean">Trimmed mean of the code values, per channel.</param>
/// <param name="Spread">Standard deviation of the code values, estimated from their quartiles, per channel.</param>
/// <param name="PixelCount">The number of pixels measured.</param>
/// <param name="ClippedShare">Share (0..1) of clipped pixels.</param>
public readonly record struct ColourStatistics(CodeRgb Mean, CodeRgb Spread, int PixelCount, double ClippedShare)
{
    /// <summary>
    /// A pixel counts as clipped if a channel is at or above this code value: 251 of 255. Common practice: lossy
    /// recording scatters clipped white a few codes below the top.
    /// </summary>
    public const double ClippedHigh = 0.985;

    /// <summary>A pixel counts as clipped if a channel is at or below this code value: under 1 of 255.</summary>
    public const double ClippedLow = 0.0035;

    /// <summary>An area is refused as clipped if more than this share of its pixels is.</summary>
    public const double LargestClippedShare = 0.05;

    // The share left out at each end: dust, glints, noise and JPEG ringing affect less of a flat area.
    private const double Trim = 0.2;

    // A normal distribution's quartiles are 1.349 standard deviations apart.
    private const double QuartilesInSigmas = 1.3489795;

    /// <summary>Whether too much of the area is clipped for its mean to be the object's colour.</summary>
    public bool IsClipped => ClippedShare > LargestClippedShare;

    /// <summary>Whether at least one channel of this colour is clipped.</summary>
    public static bool Clips(CodeRgb c) =>
        Math.Max(c.R, Math.Max(c.G, c.B)) >= ClippedHigh || Math.Min(c.R, Math.Min(c.G, c.B)) <= ClippedLow;

    /// <summary>
    /// Measures an area: in each channel a fifth of the values at each end is left out and the rest is averaged (in
    /// code values). The spans hold the same pixels and are reordered.
    /// </summary>
    /// <exception cref="ArgumentException">No pixels, or the lengths differ.</exception>
    public static ColourStatistics Of(Span<float> r, Span<float> g, Span<float> b)
    {
        if (r.IsEmpty || r.Length != g.Length || g.Length != b.Length)
        {
            throw new ArgumentException("The three channels must hold the same pixels, at least one.");
        }

        int clipped = 0;
        for (int i = 0; i < r.Length; i++)
        {
            clipped += Clips(new CodeRgb(r[i], g[i], b[i])) ? 1 : 0;
        }

        (double mr, double sr) = TrimmedMean(r);
        (double mg, double sg) = TrimmedMean(g);
        (double mb, double sb) = TrimmedMean(b);
        return new ColourStatistics(
            new CodeRgb(mr, mg, mb), new CodeRgb(sr, sg, sb), r.Length, (double)clipped / r.Length);
    }

    private static (double Mean, double Spread) TrimmedMean(Span<float> values)
    {
        values.Sort();
        int cut = (int)(values.Length * Trim);
        double sum = 0;
        for (int i = cut; i < values.Length - cut; i++)
        {
            sum += values[i];
        }

        double spread = (Quantile(values, 0.75) - Quantile(values, 0.25)) / QuartilesInSigmas;
        return (sum / (values.Length - (2 * cut)), spread);
    }

    private static double Quantile(ReadOnlySpan<float> sorted, double share)
    {
        double at = share * (sorted.Length - 1);
        int i = (int)at;
        return i + 1 < sorted.Length ? sorted[i] + ((at - i) * (sorted[i + 1] - sorted[i])) : sorted[i];
    }
}
