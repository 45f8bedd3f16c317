namespace Tonematch.Colour;

/// <summary>A CIELAB colour in cylinder coordinates.</summary>
/// <param name="L">Lightness L*.</param>
/// <param name="Chroma">Chroma C*ab, 0 or more.</param>
/// <param name="HueDegrees">Hue angle hab, degrees: 0 magenta-red, 90 yellow, 180 green, 270 blue.</param>
public readonly record struct Lch(double L, double Chroma, double HueDegrees)
{
    /// <summary>From CIELAB; a neutral has hue 0.</summary>
    public static Lch FromLab(Lab lab) => new(lab.L, lab.Chroma, lab.HueDegrees);

    /// <summary>Back to CIELAB; any hue angle, also outside 0..360.</summary>
    public Lab ToLab()
    {
        (double sin, double cos) = Math.SinCos(HueDegrees * (Math.PI / 180));
        return new Lab(L, Chroma * cos, Chroma * sin);
    }
}
