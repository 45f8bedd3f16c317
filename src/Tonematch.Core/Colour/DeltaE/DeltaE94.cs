namespace Tonematch.Colour.DeltaE;

/// <summary>The CIE 1994 colour difference ([CIE116]). Not symmetric: the first colour is the standard.</summary>
public static class DeltaE94
{
    /// <summary>With the constants for graphic arts: kL = 1, K1 = 0.045, K2 = 0.015.</summary>
    /// <example>Lab(100, 21.57210357, 272.2281935) against Lab(100, 426.67945353, 72.39590835) gives 83.779225500887094.</example>
    public static double GraphicArts(Lab standard, Lab sample) => Between(standard, sample, 1, 0.045, 0.015);

    /// <summary>With the constants for textiles: kL = 2, K1 = 0.048, K2 = 0.014.</summary>
    /// <example>Lab(100, 21.57210357, 272.2281935) against Lab(100, 426.67945353, 72.39590835) gives 88.335553057506502.</example>
    public static double Textiles(Lab standard, Lab sample) => Between(standard, sample, 2, 0.048, 0.014);

    private static double Between(Lab standard, Lab sample, double kL, double k1, double k2)
    {
        DeltaEParts d = DeltaE76.Parts(standard, sample);
        double chroma = standard.Chroma;
        return new DeltaEParts(d.Lightness / kL, d.Chroma / (1 + (k1 * chroma)), d.Hue / (1 + (k2 * chroma))).Total;
    }
}
