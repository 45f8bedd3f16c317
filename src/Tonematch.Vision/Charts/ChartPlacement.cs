using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;

namespace Tonematch.Vision.Charts;

/// <summary>Finds the position and orientation of a chart on a grid from its known colours.</summary>
internal sealed class ChartPlacement(ChartReference reference)
{
    private const int Terms = 4;
    private const int Kept = 2;

    // The chart's window must hold most of the grid's islands.
    private const double SmallestHeldShare = 0.7;

    // A cell without an island may hold a black patch, or something may be in front of the chart.
    private const double UnseenWeight = 0.15;

    private readonly double[] _terms = AffineTerms(ChartRecognition.KnownCodes(reference));

    /// <summary>
    /// The most promising placements: chart grid coordinates to the picture's, and the patches at which an island was
    /// seen.
    /// </summary>
    public List<(Homography GridToPicture, bool[] HasIsland)> Best(PatchLattice lattice, LevelColours colours)
    {
        int columns = reference.Layout.Columns, rows = reference.Layout.Rows;
        (int minC, int maxC, int minR, int maxR) = (lattice.Cells.Left, lattice.Cells.Right, lattice.Cells.Top, lattice.Cells.Bottom);
        Looks looks = new(lattice, colours, Math.Max(columns, rows));
        List<(Homography, bool[])> best = [];
        Span<double> shares = stackalloc double[Kept];
        Span<Matrix3> turns = stackalloc Matrix3[Kept];
        for (int lying = 0; lying < (columns == rows ? 1 : 2); lying++)
        {
            (int width, int height) = lying == 0 ? (columns, rows) : (rows, columns);
            for (int top = Math.Min(minR, maxR - height + 1); top <= Math.Max(minR, maxR - height + 1); top++)
            {
                for (int left = Math.Min(minC, maxC - width + 1); left <= Math.Max(minC, maxC - width + 1); left++)
                {
                    int held = 0;
                    foreach ((int column, int row, _) in lattice.Cells.Cells)
                    {
                        held += column >= left && column < left + width && row >= top && row < top + height ? 1 : 0;
                    }

                    if (held < Math.Max(PatchLattice.FewestCells, SmallestHeldShare * lattice.Cells.Count))
                    {
                        continue;
                    }

                    foreach (Matrix3 turn in Turns(left, top, lying == 0, columns == rows))
                    {
                        double share = Explained(lattice, turn, looks);
                        if (share > 0.5 && share > shares[^1])
                        {
                            int at = shares[0] < share ? 0 : 1;
                            (shares[1], turns[1]) = at == 0 ? (shares[0], turns[0]) : (share, turn);
                            (shares[0], turns[0]) = at == 0 ? (share, turn) : (shares[0], turns[0]);
                        }
                    }
                }
            }
        }

        for (int k = 0; k < Kept && shares[k] > 0; k++)
        {
            bool[] hasIsland = new bool[reference.Layout.Count];
            for (int i = 0; i < hasIsland.Length; i++)
            {
                (int column, int row) = CellOf(i, turns[k]);
                hasIsland[i] = lattice.Cells.Has(column, row);
            }

            best.Add((new Homography(lattice.CellsToPicture.Matrix * turns[k]), hasIsland));
        }

        return best;
    }

    // The colours at the cell centres, each looked up once. A chart may extend beyond the islands that were seen.
    private sealed class Looks(PatchLattice lattice, LevelColours colours, int longest)
    {
        private readonly int _side = 3 * longest;
        private readonly CodeRgb?[] _colours = new CodeRgb?[9 * longest * longest];
        private readonly bool[] _seen = new bool[9 * longest * longest];

        public CodeRgb? At(int column, int row)
        {
            int at = ((row - lattice.Cells.Top + longest) * _side) + column - lattice.Cells.Left + longest;
            if (!_seen[at])
            {
                _seen[at] = true;
                _colours[at] = colours.At(lattice.CellsToPicture.Map(column + 0.5, row + 0.5));
            }

            return _colours[at];
        }
    }

    // Chart coordinates to grid coordinates for each orientation of the chart in a window.
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

    private double Explained(PatchLattice lattice, Matrix3 turn, Looks looks)
    {
        int n = reference.Layout.Count;
        double[] measured = new double[3 * n], seen = new double[n];
        int inside = 0;
        for (int i = 0; i < n; i++)
        {
            (int column, int row) = CellOf(i, turn);
            if (looks.At(column, row) is CodeRgb c)
            {
                seen[i] = lattice.Cells.Has(column, row) ? 1 : UnseenWeight;
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
