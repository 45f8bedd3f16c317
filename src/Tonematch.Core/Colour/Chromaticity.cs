namespace Tonematch.Colour;

/// <summary>CIE 1931 chromaticity coordinates (2 degree observer).</summary>
/// <param name="X">x.</param>
/// <param name="Y">y, above 0.</param>
public readonly record struct Chromaticity(double X, double Y)
{
    /// <summary>CIE standard illuminant A, tungsten light ([CIE15]).</summary>
    public static Chromaticity A { get; } = new(0.44758, 0.40745);

    /// <summary>CIE illuminant C, obsolete daylight, used in early chart tables ([CIE15]).</summary>
    public static Chromaticity C { get; } = new(0.31006, 0.31616);

    /// <summary>CIE illuminant D50 with four digits: x 0.3457, y 0.3585 ([CIE15]).</summary>
    public static Chromaticity D50 { get; } = new(0.3457, 0.3585);

    /// <summary>CIE illuminant D55, mid-morning daylight ([CIE15]).</summary>
    public static Chromaticity D55 { get; } = new(0.33243, 0.34744);

    /// <summary>CIE standard illuminant D65 as printed in ITU-R BT.709 and BT.2020: x 0.3127, y 0.3290.</summary>
    public static Chromaticity D65 { get; } = new(0.3127, 0.3290);

    /// <summary>CIE illuminant D75, north sky ([CIE15]).</summary>
    public static Chromaticity D75 { get; } = new(0.29903, 0.31488);

    /// <summary>The equal-energy illuminant E.</summary>
    public static Chromaticity E { get; } = new(1.0 / 3, 1.0 / 3);

    /// <summary>Tristimulus values of this chromaticity with Y = 1.</summary>
    public Xyz ToXyz() => new(X / Y, 1, (1 - X - Y) / Y);
}
