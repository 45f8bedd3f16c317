using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// Decides whether a camera's recording looks like a log profile: black well above 0, white well below 1, a narrower
/// range than the other camera's picture of the same things, and middle tones that lie high between the two. Haze lifts
/// black too, but adds linear light, which leaves the middle tones low. This is a guess and is reported as one.
/// </summary>
/// <remarks>The limits are our own; docs/method/samples.md says how they were chosen.</remarks>
public static class LogLook
{
    private const double LeastBlack = 0.05, MostBlack = 0.30;
    private const double MostWhite = 0.80;
    private const double LeastMiddle = 0.15, MostMiddle = 0.60;
    private const double Narrower = 1.25;
    private const double Lifted = 0.03;
    private const double LeastBow = 0.02;

    // The smallest range of the other camera's tones in which a bend can be measured.
    private const double LeastSpan = 0.3;

    private const double Tail = 0.02;
    private const int FewestPairs = 8;

    /// <summary>Whether a camera's recording looks like log beside that of another camera that saw the same.</summary>
    /// <param name="camera">The camera's tones.</param>
    /// <param name="other">The other camera's.</param>
    /// <param name="bow">From <see cref="Bow"/>; NaN if unknown, and then the answer is no.</param>
    public static bool Is(RecordedTones camera, RecordedTones other, double bow)
    {
        ArgumentNullException.ThrowIfNull(camera);
        ArgumentNullException.ThrowIfNull(other);
        return camera.Black is >= LeastBlack and <= MostBlack && camera.White <= MostWhite && camera.Middle is >= LeastMiddle and <= MostMiddle
            && other.White - other.Black >= Narrower * (camera.White - camera.Black) && other.Black <= camera.Black - Lifted
            && bow >= LeastBow;
    }

    /// <summary>
    /// How far the middle tones of one camera, plotted over those of the other, lie above the straight line from
    /// darkest to lightest: the bend of a parabola through corresponding colours, as a share of the camera's range.
    /// Above 0 for a logarithm, 0 for lifted black or lower contrast, below 0 for haze. NaN if the pairs are too few or
    /// too similar.
    /// </summary>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="ofSecondary">Whether the camera is the secondary.</param>
    public static double Bow(SampleSet samples, bool ofSecondary)
    {
        ArgumentNullException.ThrowIfNull(samples);
        (double X, double Y, double Weight)[] tones =
        [
            .. samples.Pairs
                .Select(p => (Luma.Of(ofSecondary ? p.Primary : p.Secondary), Luma.Of(ofSecondary ? p.Secondary : p.Primary), p.Weight))
                .Where(t => double.IsFinite(t.Item1) && double.IsFinite(t.Item2) && t.Weight > 0)
                .OrderBy(t => t.Item1),
        ];
        if (tones.Length < FewestPairs)
        {
            return double.NaN;
        }

        double from = tones[(int)(Tail * (tones.Length - 1))].X, to = tones[(int)Math.Ceiling((1 - Tail) * (tones.Length - 1))].X, span = to - from;
        if (span < LeastSpan)
        {
            return double.NaN;
        }

        // Scaled to 0..1, so that the moments have similar sizes.
        double m0 = 0, m1 = 0, m2 = 0, m3 = 0, m4 = 0, y0 = 0, y1 = 0, y2 = 0;
        foreach ((double x, double y, double w) in tones)
        {
            double t = (x - from) / span;
            (m0, m1, m2, m3, m4) = (m0 + w, m1 + (w * t), m2 + (w * t * t), m3 + (w * t * t * t), m4 + (w * t * t * t * t));
            (y0, y1, y2) = (y0 + (w * y), y1 + (w * y * t), y2 + (w * y * t * t));
        }

        Matrix3 moments = new(m0, m1, m2, m1, m2, m3, m2, m3, m4);
        if (!moments.HasInverse)
        {
            // There are only two different tones.
            return double.NaN;
        }

        (_, double slope, double bend) = moments.Inverse().Times(y0, y1, y2);
        double range = slope + bend;
        return range > 0 ? -bend / 4 / range : double.NaN;
    }
}
