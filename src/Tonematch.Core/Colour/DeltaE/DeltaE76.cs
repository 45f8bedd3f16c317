namespace Tonematch.Colour.DeltaE;

/// <summary>The CIE 1976 colour difference: the distance in CIELAB ([CIE15], ISO/CIE 11664-4).</summary>
public static class DeltaE76
{
    /// <summary>The difference between two colours: 0 or more, symmetric. NaN in any channel gives NaN.</summary>
    public static double Between(Lab first, Lab second)
    {
        double l = second.L - first.L, a = second.A - first.A, b = second.B - first.B;
        return Math.Sqrt((l * l) + (a * a) + (b * b));
    }

    /// <summary>
    /// The same difference split into Delta L*, Delta C*ab and Delta H*ab (the second relative to the first). Delta
    /// H*ab has the sign of the shorter rotation from the first hue to the second.
    /// </summary>
    public static DeltaEParts Parts(Lab first, Lab second)
    {
        double c1 = first.Chroma, c2 = second.Chroma;

        // Delta H = sign sqrt(2 (C1 C2 - a1 a2 - b1 b2)) ([Seve1991]), in the form without cancellation for close hues:
        // cross / sqrt((C1 C2 + dot) / 2).
        double cross = (first.A * second.B) - (second.A * first.B), dot = (first.A * second.A) + (first.B * second.B);
        double product = c1 * c2;
        double hue = dot < 0 ? Math.CopySign(Math.Sqrt(Math.Max(0, 2 * (product - dot))), cross)
            : product == 0 ? 0 : cross / Math.Sqrt((product + dot) / 2);
        return new DeltaEParts(second.L - first.L, c2 - c1, hue);
    }
}
