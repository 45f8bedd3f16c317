using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>
/// Whether a camera's recording looks as if it was made in a log profile: its black well above 0, its white well below 1, a narrower
/// range than the other camera's picture of the same things, and middle tones that lie high between the two. Haze lifts black too, but it
/// lifts it in light, which leaves the middle tones low. No verdict: a guess that is said as one.
/// </summary>
/// <remarks>The limits are our own: docs/method/samples.md says on what they were chosen.</remarks>
public static class LogLook
{
    private const double LeastBlack = 0.05, MostBlack = 0.30;
    private const double MostWhite = 0.80;
    private const double LeastMiddle = 0.15, MostMiddle = 0.60;
    private const double Narrower = 1.25;
    private const double Lifted = 0.03;
    private const double LeastBow = 0.02;

    // What the colours of the other camera must span before a bend of them says anything.
    private const double LeastSpan = 0.3;

    private const double Tail = 0.02;
    private const int FewestPairs = 8;

    /// <summary>Whether a camera looks so beside another that saw the same.</summary>
    /// <param name="camera">The camera's tones.</param>
    /// <param name="other">The other camera's.</param>
    /// <param name="bow">From <see cref="Bow"/>; NaN: not known, and then the answer is no.</param>
    public static bool Is(RecordedTones camera, RecordedTones other, double bow)
    {
        ArgumentNullException.ThrowIfNull(camera);
        ArgumentNullException.ThrowIfNull(other);
        return camera.Black is >= LeastBlack and <= MostBlack && camera.White <= MostWhite && camera.Middle is >= LeastMiddle and <= MostMiddle
            && other.White - other.Black >= Narrower * (camera.White - camera.Black) && other.Black <= camera.Black - Lifted
            && bow >= LeastBow;
    }

    /// <summary>
    /// How far the middle of one camera's tones lies above the straight line from its darkest to its lightest, over the tones of the other
    /// camera: the bend of a parabola through corresponding colours, as a share of the camera's range. Above 0 for a logarithm, 0 for a
    /// lifted black or less contrast, below 0 for haze. NaN where the pairs are too few or too alike.
    /// </summary>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="ofSecondary">The camera is the secondary.</param>
    public static double Bow(SampleSet samples, bool ofSecondary)
    {
        ArgumentNullException.ThrowIfNull(samples);
        (double X, double Y, double Weight)[] tones =
        [
            .. samples.Pairs
                .Select(p => (Luma(ofSecondary ? p.Primary : p.Secondary), Luma(ofSecondary ? p.Secondary : p.Primary), p.Weight))
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

        // On 0..1, so that the moments are of one size.
        double m0 = 0, m1 = 0, m2 = 0, m3 = 0, m4 = 0, y0 = 0, y1 = 0, y2 = 0;
        foreach ((double x, double y, double w) in tones)
        {
            double t = (x - from) / span;
            (m0, m1, m2, m3, m4) = (m0 + w, m1 + (w * t), m2 + (w * t * t), m3 + (w * t * t * t), m4 + (w * t * t * t * t));
            (y0, y1, y2) = (y0 + (w * y), y1 + (w * y * t), y2 + (w * y * t * t));
        }

        Matrix3 moments = new(m0, m1, m2, m1, m2, m3, m2, m3, m4);
        try
        {
            (_, double slope, double bend) = moments.Inverse().Times(y0, y1, y2);
            double range = slope + bend;
            return range > 0 ? -bend / 4 / range : double.NaN;
        }
        catch (ArgumentException)
        {
            // All tones but two are the same one.
            return double.NaN;
        }
    }

    private static double Luma(CodeRgb c) => (0.2126 * c.R) + (0.7152 * c.G) + (0.0722 * c.B);
}
