namespace Tonematch.Colour.DeltaE;

/// <summary>
/// A colour difference split into perceptual parts: the second colour relative to the first. The squares of the three
/// parts add up to the square of the whole.
/// </summary>
/// <param name="Lightness">Above 0: the second is lighter.</param>
/// <param name="Chroma">Above 0: the second is more colourful.</param>
/// <param name="Hue">Above 0: the second is turned towards larger hue angles (red to yellow to green to blue).</param>
public readonly record struct DeltaEParts(double Lightness, double Chroma, double Hue)
{
    /// <summary>The whole difference, 0 or more.</summary>
    public double Total => Math.Sqrt((Lightness * Lightness) + (Chroma * Chroma) + (Hue * Hue));
}
