namespace Tonematch.Colour;

/// <summary>The CIELAB region of human skin, from dark to light.</summary>
public static class SkinTones
{
    /// <summary>
    /// Whether a colour (relative to D65) may be skin: L* 15..90, C*ab 6..45, hue 25..80 degrees. Common practice; the
    /// 'skin' reflectances of Vrhel, Gershon and Iwan 1994 lie inside (tested). Wood and leather are here too: the
    /// region means 'as critical as skin', not 'is skin'.
    /// </summary>
    public static bool Contains(Lab lab) =>
        lab.L is >= 15 and <= 90 && lab.Chroma is >= 6 and <= 45 && lab.HueDegrees is >= 25 and <= 80;

    /// <summary>
    /// The same region with soft edges: 1 inside, falling evenly to 0 over 10 of L*, 4 of C*ab and 20 degrees of hue
    /// outside it, so that its use leaves no visible border. The widths are a convention of this project.
    /// </summary>
    public static double Closeness(Lab lab)
    {
        double chroma = lab.Chroma, hue = lab.HueDegrees;
        double off = Math.Min(Math.Abs(hue - 52.5), 360 - Math.Abs(hue - 52.5)) - 27.5;
        return Fade(15 - lab.L, 10) * Fade(lab.L - 90, 10) * Fade(6 - chroma, 4) * Fade(chroma - 45, 4) * Fade(off, 20);

        // 1 up to the edge, 0 from 'width' beyond it, without a corner at either end.
        static double Fade(double beyond, double width)
        {
            double x = Math.Clamp(beyond / width, 0, 1);
            return 1 - (x * x * (3 - (2 * x)));
        }
    }
}
