namespace Tonematch.Colour;

/// <summary>
/// Linear light that a display shows (after the display curve), in the encoding's own primaries, relative to
/// reference white: 1 is SDR peak white, or 203 cd/m2 in HDR (ITU-R BT.2408).
/// </summary>
/// <param name="R">Red light, 0 or more.</param>
/// <param name="G">Green light, 0 or more.</param>
/// <param name="B">Blue light, 0 or more.</param>
public readonly record struct DisplayRgb(double R, double G, double B);
