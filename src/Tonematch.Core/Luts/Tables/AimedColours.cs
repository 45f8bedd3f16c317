using Tonematch.Colour;

namespace Tonematch.Luts.Tables;

/// <summary>
/// Colours that reveal the difference between two tables or functions: cell centres and quarter points of a table of
/// the given size, the domain's faces, black and white, a dense grey scale, and evenly distributed points between.
/// </summary>
internal static class AimedColours
{
    private const int SpreadPoints = 4096;
    private const int MostCellsAnAxis = 12;

    /// <summary>The colours for a table of <paramref name="size"/> nodes over the given domain; always the same ones.</summary>
    public static CodeRgb[] Over(int size, CodeRgb min, CodeRgb max)
    {
        double[] axis = Axis(size);
        List<CodeRgb> places = new((axis.Length * axis.Length * axis.Length) + SpreadPoints + (8 * size));
        foreach (double b in axis)
        {
            foreach (double g in axis)
            {
                foreach (double r in axis)
                {
                    places.Add(new CodeRgb(r, g, b));
                }
            }
        }

        int greys = 8 * (size - 1);
        for (int i = 0; i <= greys; i++)
        {
            places.Add(CodeRgb.Grey(i / (double)greys));
        }

        // An additive recurrence with the powers of the root of x^4 = x + 1 fills the cube evenly (common practice).
        const double x = 1.2207440846057596;
        for (int i = 1; i <= SpreadPoints; i++)
        {
            places.Add(new CodeRgb((0.5 + (i / x)) % 1, (0.5 + (i / (x * x))) % 1, (0.5 + (i / (x * x * x))) % 1));
        }

        return [.. places.Select(p => new CodeRgb(
            min.R + (p.R * (max.R - min.R)), min.G + (p.G * (max.G - min.G)), min.B + (p.B * (max.B - min.B))))];
    }

    // Both ends, then cells spread over the axis that always include the outermost two at each end, since curves bend
    // most near black and white. Centre and one quarter point alternate so that both lie in every plane.
    private static double[] Axis(int size)
    {
        int cells = size - 1;
        SortedSet<int> chosen = [0, Math.Min(1, cells - 1), Math.Max(0, cells - 2), cells - 1];
        for (int i = 0; i < MostCellsAnAxis; i++)
        {
            chosen.Add((int)((i + 0.5) / MostCellsAnAxis * cells));
        }

        SortedSet<double> axis = [0, 1];
        foreach (int cell in chosen)
        {
            axis.Add((cell + 0.5) / cells);
        }

        axis.Add(0.25 / cells);
        axis.Add((cells - 0.25) / cells);
        return [.. axis];
    }
}
