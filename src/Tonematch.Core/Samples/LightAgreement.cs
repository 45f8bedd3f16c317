using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Numerics;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// Tests whether one camera saw a scene under the same light and with the same exposure at two instants.
/// </summary>
public static class LightAgreement
{
    // Enough places for a median, and small enough that the sway of a hand-held camera hardly matters.
    private const int Side = 96;

    /// <summary>
    /// Above this the light, the exposure or the view changed; the same limit as for readings of a chart.
    /// </summary>
    public const double LargestDeltaE = 2;

    /// <summary>
    /// Median CIEDE2000 between the two pictures, place by place: near 0 if the camera stands still in constant light,
    /// however many people walk around; large if the light or the exposure changed, or the camera turned.
    /// </summary>
    /// <param name="one">A picture.</param>
    /// <param name="other">A picture by the same camera at another instant.</param>
    public static double Between(Picture one, Picture other)
    {
        ArgumentNullException.ThrowIfNull(one);
        ArgumentNullException.ThrowIfNull(other);
        Picture a = PictureScale.ToSmall(one, Side), b = PictureScale.ToSmall(other, Side);
        if ((a.Width, a.Height) != (b.Width, b.Height))
        {
            return double.PositiveInfinity;
        }

        return Median.Of(Enumerable.Range(0, a.Width * a.Height).Select(i => DeltaE2000.Between(
            a.Encoding.ToLab(new CodeRgb(a.R[i], a.G[i], a.B[i])), b.Encoding.ToLab(new CodeRgb(b.R[i], b.G[i], b.B[i])))));
    }
}
