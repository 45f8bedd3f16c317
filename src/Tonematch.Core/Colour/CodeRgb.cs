namespace Tonematch.Colour;

/// <summary>
/// Non-linear code values of one pixel in some <see cref="SignalEncoding"/>: 0 is nominal black, 1 nominal white of
/// full-range RGB. Values outside 0..1 (super-white, out of gamut) are kept, never clamped silently.
/// </summary>
/// <param name="R">Red, nominally 0..1.</param>
/// <param name="G">Green, nominally 0..1.</param>
/// <param name="B">Blue, nominally 0..1.</param>
public readonly record struct CodeRgb(double R, double G, double B)
{
    /// <summary>The same value in all three channels.</summary>
    public static CodeRgb Grey(double value) => new(value, value, value);

    /// <summary>Whether all three values are finite.</summary>
    public bool IsFinite => double.IsFinite(R) && double.IsFinite(G) && double.IsFinite(B);

    /// <summary>Each channel clamped to 0..1, an explicit step of the caller. NaN stays NaN.</summary>
    public CodeRgb Clamped() => new(Math.Clamp(R, 0, 1), Math.Clamp(G, 0, 1), Math.Clamp(B, 0, 1));
}
