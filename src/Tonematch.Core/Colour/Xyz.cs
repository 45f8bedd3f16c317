namespace Tonematch.Colour;

/// <summary>CIE 1931 tristimulus values (2 degree observer), relative: Y = 1 is reference white.</summary>
/// <param name="X">X.</param>
/// <param name="Y">Y, relative luminance.</param>
/// <param name="Z">Z.</param>
public readonly record struct Xyz(double X, double Y, double Z);
