namespace Tonematch.Colour;

/// <summary>The region of CIELAB in which human skin lies, from dark to light.</summary>
public static class SkinTones
{
    /// <summary>
    /// Whether a colour (relative to D65) may be skin: L* 15..90, C*ab 6..45, hue 25..80 degrees. Common practice; the
    /// 'skin' reflectances of Vrhel, Gershon and Iwan 1994 lie inside (tested). Wood and leather lie here too: the
    /// region says 'as critical as skin', not 'is skin'.
    /// </summary>
    public static bool Contains(Lab lab) =>
        lab.L is >= 15 and <= 90 && lab.Chroma is >= 6 and <= 45 && lab.HueDegrees is >= 25 and <= 80;
}
