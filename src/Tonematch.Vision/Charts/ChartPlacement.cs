using Tonematch.Charts;
using Tonematch.Colour;

namespace Tonematch.Vision.Charts;

/// <summary>Finds where on a grid a chart lies and which way it is turned, by its known colours.</summary>
internal sealed class ChartPlacement(ChartReference reference)
{
    private const int Terms = 4;
    private const int Kept = 2;

    // The chart's window must hold most of the grid's islands.
    private const double SmallestHeldShare = 0.7;

    // Where no island was seen there may be a black patch, or something in front of the chart.
    private const double UnseenWeight = 0.15;

    private readonly double[] _terms = AffineTerms(ChartRecognition.KnownCodes(reference));

    /// <summary>
    /// The most promising placements: chart grid coordinates to the picture's, and which patches an island was seen at.
    /// </summary>
    public List<(Homography GridToPicture, bool[] HasIsland)> Best(PatchLattice lattice, LevelColours colours)
    {
        int columns = reference.Layout.Columns, rows = reference.Layout.Rows;
        int minC = lattice.Cells.Keys.Min(c => c.Column), maxC = lattice.Cells.Keys.Max(c => c.Column);
        int minR = lattice.Cells.Keys.Min(c => c.Row), maxR = lattice.Cells.Keys.Max(c => c.Row);
        Dictionary<(int, int), CodeRgb?> looks = [];
        List<(double Share, Matrix3 Turn)> found = [];
        foreach ((int width, int height) in columns == rows ? [(columns, rows)] : new[] { (columns, rows), (rows, columns) })
        {
            for (int top = maxR - height + 1 < minR ? maxR - height + 1 : minR; top <= Math.Max(minR, maxR - height + 1); top++)
            {
                for (int left = maxC - width + 1 < minC ? maxC - width + 1 : minC; left <= Math.Max(minC, maxC - width + 1); left++)
                {
                    int held = lattice.Cells.Keys.Count(c => c.Column >= left && c.Column < left + width && c.Row >= top && c.Row < top + height);
                    if (held < Math.Max(PatchLattice.FewestCells, SmallestHeldShare * lattice.Cells.Count))
                    {
                        continue;
                    }

                    foreach (Matrix3 turn in Turns(left, top, width == columns && height == rows, columns == rows))
                    {
                        found.Add((Explained(lattice, turn, colours, looks), turn));
                    }
                }
            }
        }

        return [.. found.Where(f => f.Share > 0.5).OrderByDescending(f => f.Share).Take(Kept).Select(f => (
            new Homography(lattice.CellsToPicture.Matrix * f.Turn),
            Enumerable.Range(0, reference.Layout.Count).Select(i => lattice.Cells.ContainsKey(CellOf(i, f.Turn))).ToArray()))];
    }

    // Chart coordinates to grid coordinates for the ways the chart may lie in a window.
    private IEnumerable<Matrix3> Turns(int left, int top, bool upright, bool square)
    {
        int columns = reference.Layout.Columns, rows = reference.Layout.Rows;
        if (upright)
        {
            yield return new Matrix3(1, 0, left, 0, 1, top, 0, 0, 1);
            yield return new Matrix3(-1, 0, left + columns, 0, -1, top + rows, 0, 0, 1);
        }

        if (!upright || square)
        {
            yield return new Matrix3(0, -1, left + rows, 1, 0, top, 0, 0, 1);
            yield return new Matrix3(0, 1, left, -1, 0, top + columns, 0, 0, 1);
        }
    }

    private (int Column, int Row) CellOf(int patch, Matrix3 turn)
    {
        (double x, double y, _) = turn.Times((patch % reference.Layout.Columns) + 0.5, (patch / reference.Layout.Columns) + 0.5, 1);
        return ((int)Math.Floor(x), (int)Math.Floor(y));
    }

    private double Explained(PatchLattice lattice, Matrix3 turn, LevelColours colours, Dictionary<(int, int), CodeRgb?> looks)
    {
        int n = reference.Layout.Count;
        double[] measured = new double[3 * n], seen = new double[n];
        int inside = 0;
        for (int i = 0; i < n; i++)
        {
            (int Column, int Row) cell = CellOf(i, turn);
            if (!looks.TryGetValue(cell, out CodeRgb? look))
            {
                looks[cell] = look = colours.At(lattice.CellsToPicture.Map(cell.Column + 0.5, cell.Row + 0.5));
            }

            if (look is CodeRgb c)
            {
                seen[i] = lattice.Cells.ContainsKey(cell) ? 1 : UnseenWeight;
                inside++;
                (measured[3 * i], measured[(3 * i) + 1], measured[(3 * i) + 2]) = (c.R, c.G, c.B);
            }
        }

        if (inside < 0.6 * n || LinearColourFit.Solve(_terms, Terms, measured, seen) is not double[] m)
        {
            return 0;
        }

        return ChartRecognition.Explained(measured, LinearColourFit.Errors(_terms, Terms, measured, m), seen);
    }

    private static double[] AffineTerms(double[] codes)
    {
        double[] terms = new double[codes.Length / 3 * Terms];
        for (int i = 0; i < codes.Length / 3; i++)
        {
            terms[i * Terms] = 1;
            codes.AsSpan(i * 3, 3).CopyTo(terms.AsSpan((i * Terms) + 1));
        }

        return terms;
    }
}
