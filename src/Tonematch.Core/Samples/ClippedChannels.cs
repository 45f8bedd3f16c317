using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// The share of a camera's pictures in which each channel is at the top of its range, where anything lighter is lost.
/// </summary>
/// <param name="Red">Share of the pixels, 0..1.</param>
/// <param name="Green">Share of the pixels, 0..1.</param>
/// <param name="Blue">Share of the pixels, 0..1.</param>
public sealed record ClippedChannels(double Red, double Green, double Blue)
{
    // The signal's nominal white, minus the tolerance of 8 bits and of scaling down.
    private const float Top = 0.99f;

    /// <summary>The most clipped channel, by name, and its share.</summary>
    public (string Channel, double Share) Most =>
        Red >= Green && Red >= Blue ? ("red", Red) : Green >= Blue ? ("green", Green) : ("blue", Blue);

    /// <summary>Counts over all pictures.</summary>
    /// <param name="pictures">Pictures of one camera, any sizes; without pictures every share is 0.</param>
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
