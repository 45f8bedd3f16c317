using Tonematch.Colour;

namespace Tonematch.Fitting;

/// <summary>
/// The part of CIELAB in which human skin lies under ordinary light, from very dark to very light: L* 20..90,
/// chroma 8..40, hue 25..80 degrees. Wood, sand and some leather lie there too.
/// </summary>
/// <remarks>
/// The bounds hold the skin reflectances of Vrhel, Gershon and Iwan (Color Research and Application 19(1), 1994) under
/// D65; as limits they are a convention of this project.
/// </remarks>
public static class SkinRegion
{
    /// <summary>Whether a colour lies in the region, bounds included.</summary>
    public static bool Contains(Lab lab) =>
        lab.L is >= 20 and <= 90 && lab.Chroma is >= 8 and <= 40 && lab.HueDegrees is >= 25 and <= 80;
}
