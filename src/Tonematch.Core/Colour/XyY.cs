namespace Tonematch.Colour;

/// <summary>A colour as chromaticity and luminance, the usual form of published chart values.</summary>
/// <param name="Chromaticity">x and y.</param>
/// <param name="Luminance">Y, relative: 1 is the white.</param>
public readonly record struct XyY(Chromaticity Chromaticity, double Luminance)
{
    /// <summary>From tristimulus values; black takes the chromaticity (0, 0).</summary>
    public static XyY FromXyz(Xyz xyz)
    {
        double sum = xyz.X + xyz.Y + xyz.Z;
        return sum == 0 ? default : new XyY(new Chromaticity(xyz.X / sum, xyz.Y / sum), xyz.Y);
    }

    /// <summary>The tristimulus values; 0 where the luminance is 0.</summary>
    public Xyz ToXyz()
    {
        if (Luminance == 0)
        {
            return default;
        }

        Xyz unit = Chromaticity.ToXyz();
        return new Xyz(unit.X * Luminance, Luminance, unit.Z * Luminance);
    }
}
