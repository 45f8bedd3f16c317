using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Luts.Tables;

/// <summary>Measures the difference between two tables, or between any two ways of computing a correction.</summary>
public static class LutComparison
{
    /// <summary>
    /// Compares two tables over their common domain with the same interpolation, at cell centres and edges of both.
    /// </summary>
    /// <param name="first">One table.</param>
    /// <param name="second">The other; sizes and domains may differ.</param>
    /// <param name="outputEncoding">The encoding of the tables' output: the primary's.</param>
    /// <param name="method">The interpolation method.</param>
    /// <exception cref="ArgumentException">The two domains have no colour in common.</exception>
    public static LutDifference Compare(
        Lut3D first, Lut3D second, SignalEncoding outputEncoding, LutMethod method = LutMethod.Tetrahedral)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        CodeRgb a = first.DomainMin, b = second.DomainMin, c = first.DomainMax, d = second.DomainMax;
        CodeRgb min = new(Math.Max(a.R, b.R), Math.Max(a.G, b.G), Math.Max(a.B, b.B));
        CodeRgb max = new(Math.Min(c.R, d.R), Math.Min(c.G, d.G), Math.Min(c.B, d.B));
        if (!(max.R > min.R && max.G > min.G && max.B > min.B))
        {
            throw new ArgumentException("The two tables' domains have no colour in common.", nameof(second));
        }

        CodeRgb[] colours = first.Size == second.Size
            ? AimedColours.Over(first.Size, min, max)
            : [.. AimedColours.Over(first.Size, min, max), .. AimedColours.Over(second.Size, min, max)];
        return Compare(
            colours,
            x => LutInterpolation.Apply(first, x, method),
            x => LutInterpolation.Apply(second, x, method),
            outputEncoding);
    }

    /// <summary>
    /// Compares two ways of computing a correction over 0..1, at colours chosen for tables of the given size.
    /// </summary>
    /// <param name="first">Maps code values to code values.</param>
    /// <param name="second">The other way.</param>
    /// <param name="outputEncoding">The encoding of the output: the primary's.</param>
    /// <param name="aimedAtSize">Nodes per side of the table in question, 2..129.</param>
    public static LutDifference Compare(
        Func<CodeRgb, CodeRgb> first, Func<CodeRgb, CodeRgb> second, SignalEncoding outputEncoding, int aimedAtSize = 33)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(aimedAtSize, Lut3D.MinSize);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(aimedAtSize, Lut3D.MaxSize);
        return Compare(AimedColours.Over(aimedAtSize, CodeRgb.Grey(0), CodeRgb.Grey(1)), first, second, outputEncoding);
    }

    /// <summary>Compares two ways of computing a correction on given colours.</summary>
    /// <param name="colours">Secondary code values, at least one.</param>
    /// <param name="first">Maps code values to code values.</param>
    /// <param name="second">The other way.</param>
    /// <param name="outputEncoding">The encoding of the output: the primary's.</param>
    /// <remarks>
    /// Code differences use the values unchanged; CIEDE2000 uses the values clamped to 0..1, as a display or an integer
    /// format would show them.
    /// </remarks>
    public static LutDifference Compare(
        IReadOnlyList<CodeRgb> colours,
        Func<CodeRgb, CodeRgb> first,
        Func<CodeRgb, CodeRgb> second,
        SignalEncoding outputEncoding)
    {
        ArgumentNullException.ThrowIfNull(colours);
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        ArgumentNullException.ThrowIfNull(outputEncoding);
        double[] deltaE = new double[colours.Count];
        double sum = 0, largest = 0;
        int worst = 0;
        for (int i = 0; i < colours.Count; i++)
        {
            CodeRgb a = first(colours[i]), b = second(colours[i]);
            double r = Math.Abs(a.R - b.R), g = Math.Abs(a.G - b.G), bl = Math.Abs(a.B - b.B);
            sum += r + g + bl;
            largest = Math.Max(largest, Math.Max(r, Math.Max(g, bl)));
            deltaE[i] = DeltaE2000.Between(outputEncoding.ToLab(a.Clamped()), outputEncoding.ToLab(b.Clamped()));
            worst = deltaE[i] > deltaE[worst] ? i : worst;
        }

        return new LutDifference(DeltaEStatistics.Of(deltaE), sum / (3.0 * colours.Count), largest, colours[worst]);
    }
}
