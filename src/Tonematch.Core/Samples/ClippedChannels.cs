using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>In how much of a camera's pictures each channel is at the top of its range: what was lighter there is lost.</summary>
/// <param name="Red">Share of the pixels, 0..1.</param>
/// <param name="Green">Share of the pixels, 0..1.</param>
/// <param name="Blue">Share of the pixels, 0..1.</param>
public sealed record ClippedChannels(double Red, double Green, double Blue)
{
    // The signal's nominal white, less what 8 bits and scaling to a smaller picture blur.
    private const float Top = 0.99f;

    /// <summary>The channel that is there most, by name, and its share.</summary>
    public (string Channel, double Share) Most =>
        Red >= Green && Red >= Blue ? ("red", Red) : Green >= Blue ? ("green", Green) : ("blue", Blue);

    /// <summary>Counts over all pictures.</summary>
    /// <param name="pictures">Pictures of one camera, any sizes; of none every share is 0.</param>
    public static ClippedChannels Of(IReadOnlyList<Picture> pictures)
    {
        ArgumentNullException.ThrowIfNull(pictures);
        double pixels = Math.Max(1, pictures.Sum(p => (double)p.Width * p.Height));
        double Share(Func<Picture, int> count) => pictures.Sum(p => (double)count(p)) / pixels;
        return new ClippedChannels(Share(p => Count(p.R)), Share(p => Count(p.G)), Share(p => Count(p.B)));
    }

    private static int Count(ReadOnlySpan<float> plane)
    {
        int count = 0;
        foreach (float value in plane)
        {
            count += value >= Top ? 1 : 0;
        }

        return count;
    }
}
