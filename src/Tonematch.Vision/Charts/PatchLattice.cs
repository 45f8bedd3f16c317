using Tonematch.Pictures;

namespace Tonematch.Vision.Charts;

/// <summary>Islands arranged like the cells of a grid seen in perspective.</summary>
/// <param name="Cells">The cells that have an island.</param>
/// <param name="CellsToPicture">Grid coordinates (cell centres at .5) to pixels.</param>
internal sealed record PatchLattice(GridCells Cells, Homography CellsToPicture)
{
    /// <summary>With fewer islands a grid cannot be distinguished from chance.</summary>
    public const int FewestCells = 6;

    private const int Neighbours = 10;

    // In an oblique view, a patch may be nearer to a diagonal neighbour than to an adjacent one: the same islands then
    // form several grids, one of which is the chart's.
    private const int Readings = 4;

    /// <summary>All grids in a set of islands, with <paramref name="longest"/> cells per side at most.</summary>
    public static IEnumerable<PatchLattice> FindAll(List<FlatIsland> islands, int longest, CancellationToken cancel)
    {
        IslandIndex index = new(islands);
        int[] covered = new int[islands.Count];
        HashSet<long> seen = [];
        for (int seed = 0; seed < islands.Count; seed++)
        {
            cancel.ThrowIfCancellationRequested();
            if (covered[seed] >= Readings)
            {
                continue;
            }

            foreach ((double Ux, double Uy, double Vx, double Vy) in Frames(islands, index, seed))
            {
                GridCells cells = Grow(islands, index, seed, (Ux, Uy), (Vx, Vy), longest);
                if (cells.Count < FewestCells || !seen.Add(Key(cells)))
                {
                    continue;
                }

                if (Fit(islands, cells, longest) is not PatchLattice lattice)
                {
                    continue;
                }

                if (cells.Count >= 10)
                {
                    foreach ((_, _, int island) in cells.Cells)
                    {
                        covered[island]++;
                    }
                }

                yield return lattice;
                if (covered[seed] >= Readings)
                {
                    break;
                }
            }
        }
    }

    // Independent of the first cell and of the order of the others.
    private static long Key(GridCells cells)
    {
        ulong key = 0;
        foreach ((int column, int row, int island) in cells.Cells)
        {
            // The finaliser of splitmix64 (G. Steele, D. Lea and C. Flood, OOPSLA 2014).
            ulong k = unchecked((ulong)((island * 1024L) + ((column - cells.Left) * 32) + row - cells.Top + 1) * 0x9E3779B97F4A7C15);
            k = unchecked((k ^ (k >> 30)) * 0xBF58476D1CE4E5B9);
            k = unchecked((k ^ (k >> 27)) * 0x94D049BB133111EB);
            key = unchecked(key + (k ^ (k >> 31)));
        }

        return unchecked((long)key);
    }

    // Two neighbours in different directions form a local frame, oriented consistently.
    private static IEnumerable<(double, double, double, double)> Frames(List<FlatIsland> islands, IslandIndex index, int seed)
    {
        FlatIsland s = islands[seed];
        List<(double X, double Y)> near = [];
        List<int> within = [];
        index.Within(s.X, s.Y, 2.2 * s.Size, within);
        foreach (int i in within)
        {
            FlatIsland n = islands[i];
            double dx = n.X - s.X, dy = n.Y - s.Y, d = Math.Sqrt((dx * dx) + (dy * dy));
            if (i != seed && d > 0.75 * s.Size && n.Size < 1.7 * s.Size && n.Size > s.Size / 1.7)
            {
                near.Add((dx, dy));
            }
        }

        near.Sort((a, b) => ((a.X * a.X) + (a.Y * a.Y)).CompareTo((b.X * b.X) + (b.Y * b.Y)));
        int count = Math.Min(Neighbours, near.Count);
        for (int a = 0; a < count; a++)
        {
            for (int b = 0; b < count; b++)
            {
                (double ux, double uy) = near[a];
                (double vx, double vy) = near[b];
                double lu = Math.Sqrt((ux * ux) + (uy * uy)), lv = Math.Sqrt((vx * vx) + (vy * vy));
                double sine = ((ux * vy) - (uy * vx)) / (lu * lv);
                if (ux > 0 && ux >= 0.35 * Math.Abs(uy) && sine > 0.5 && lu < 2.5 * lv && lv < 2.5 * lu)
                {
                    yield return (ux, uy, vx, vy);
                }
            }
        }
    }

    private static GridCells Grow(
        List<FlatIsland> islands, IslandIndex index, int seed, (double X, double Y) u, (double X, double Y) v, int longest)
    {
        GridCells cells = new(longest);
        cells.Add(0, 0, seed);
        Span<Steps> steps = stackalloc Steps[longest * longest];
        steps[0] = new Steps(u.X, u.Y, v.X, v.Y);
        ReadOnlySpan<int> right = [1, 0, -1, 0], down = [0, 1, 0, -1];
        for (int at = 0; at < cells.Count; at++)
        {
            ((int column, int row, int number), Steps own) = (cells.Cells[at], steps[at]);
            FlatIsland from = islands[number];
            for (int way = 0; way < 4; way++)
            {
                int dc = right[way], dr = down[way];
                if (!cells.HasRoomFor(column + dc, row + dr) || cells.Has(column + dc, row + dr))
                {
                    continue;
                }

                double stepX = dc != 0 ? dc * own.Ux : dr * own.Vx, stepY = dc != 0 ? dc * own.Uy : dr * own.Vy;
                double reach = 0.3 * Math.Sqrt((stepX * stepX) + (stepY * stepY));
                int i = index.Nearest(from.X + stepX, from.Y + stepY, reach, from.Size / 1.6, from.Size * 1.6);
                if (i < 0 || cells.Contains(i))
                {
                    continue;
                }

                double mx = islands[i].X - from.X, my = islands[i].Y - from.Y;
                steps[cells.Count] = dc != 0
                    ? own with { Ux = (own.Ux + (dc * mx)) / 2, Uy = (own.Uy + (dc * my)) / 2 }
                    : own with { Vx = (own.Vx + (dr * mx)) / 2, Vy = (own.Vy + (dr * my)) / 2 };
                cells.Add(column + dc, row + dr, i);
            }
        }

        return cells;
    }

    // The steps to the next column and to the next row around a cell.
    private readonly record struct Steps(double Ux, double Uy, double Vx, double Vy);

    private static PatchLattice? Fit(List<FlatIsland> islands, GridCells cells, int longest)
    {
        GridCells kept = cells;
        for (int round = 0; round < 4 && kept.Count >= FewestCells; round++)
        {
            PicturePoint[] grid = new PicturePoint[kept.Count], seen = new PicturePoint[kept.Count];
            for (int i = 0; i < kept.Count; i++)
            {
                (int column, int row, int island) = kept.Cells[i];
                (grid[i], seen[i]) = (new(column + 0.5, row + 0.5), new(islands[island].X, islands[island].Y));
            }

            if (Homography.Fit(grid, seen) is not Homography h)
            {
                return null;
            }

            GridCells near = new(longest);
            foreach ((int column, int row, int island) in kept.Cells)
            {
                PicturePoint p = h.Map(column + 0.5, row + 0.5);
                FlatIsland o = islands[island];
                if (Math.Sqrt(((p.X - o.X) * (p.X - o.X)) + ((p.Y - o.Y) * (p.Y - o.Y))) <= (0.15 * o.Size) + 0.5)
                {
                    near.Add(column, row, island);
                }
            }

            if (near.Count == kept.Count)
            {
                return new PatchLattice(kept, h);
            }

            kept = near;
        }

        return null;
    }
}
