namespace Tonematch.Colour.DeltaE;

/// <summary>The CMC(l:c) colour difference ([Clarke1984], ISO 105-J03). Not symmetric: the first colour is the standard.</summary>
public static class DeltaECmc
{
    /// <summary>The difference of a sample from a standard: 0 or more. NaN in any channel gives NaN.</summary>
    /// <param name="standard">The reference colour.</param>
    /// <param name="sample">The colour to be assessed.</param>
    /// <param name="l">Tolerance of lightness, above 0: 2 for acceptability, 1 for perceptibility.</param>
    /// <param name="c">Tolerance of chroma, above 0.</param>
    /// <example>Lab(100, 21.57210357, 272.2281935) against Lab(100, 74.05216981, 276.45318193) gives 20.59732717.</example>
    public static double Between(Lab standard, Lab sample, double l = 2, double c = 1)
    {
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(l);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(c);
        DeltaEParts d = DeltaE76.Parts(standard, sample);
        double c1 = standard.Chroma, h1 = standard.HueDegrees;
        double sL = standard.L < 16 ? 0.511 : 0.040975 * standard.L / (1 + (0.01765 * standard.L));
        double sC = (0.0638 * c1 / (1 + (0.0131 * c1))) + 0.638;
        double t = h1 is >= 164 and <= 345
            ? 0.56 + Math.Abs(0.2 * Math.Cos((h1 + 168) * (Math.PI / 180)))
            : 0.36 + Math.Abs(0.4 * Math.Cos((h1 + 35) * (Math.PI / 180)));
        double c4 = c1 * c1 * c1 * c1, f = Math.Sqrt(c4 / (c4 + 1900));
        double sH = sC * ((f * t) + 1 - f);
        return new DeltaEParts(d.Lightness / (l * sL), d.Chroma / (c * sC), d.Hue / sH).Total;
    }
}
