using Tonematch.Charts;
using Tonematch.Pictures;

namespace Tonematch.Vision.Charts;

/// <summary>Islands that lie like the cells of a grid seen in perspective.</summary>
/// <param name="Cells">Grid cell to island.</param>
/// <param name="CellsToPicture">Grid coordinates (cell centres at .5) to pixels.</param>
internal sealed record PatchLattice(IReadOnlyDictionary<(int Column, int Row), FlatIsland> Cells, Homography CellsToPicture)
{
    /// <summary>A grid is no longer told from chance below this many islands.</summary>
    public const int FewestCells = 6;

    private const int Neighbours = 10;

    // Seen at a slant, a patch may be nearer to one across the corner than to one beside it: the same islands then
    // make several grids, of which one is the chart's.
    private const int Readings = 4;

    /// <summary>All grids in a set of islands, with <paramref name="longest"/> cells a side at most.</summary>
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
                Dictionary<(int, int), int> cells = Grow(islands, index, seed, (Ux, Uy), (Vx, Vy), longest);
                if (cells.Count < FewestCells || !seen.Add(Key(cells)))
                {
                    continue;
                }

                if (Fit(islands, cells) is not PatchLattice lattice)
                {
                    continue;
                }

                if (cells.Count >= 10)
                {
                    foreach (int i in cells.Values)
                    {
                        covered[i]++;
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

    private static long Key(Dictionary<(int C, int R), int> cells)
    {
        int left = cells.Keys.Min(c => c.C), top = cells.Keys.Min(c => c.R);
        long key = cells.Count;
        foreach (((int c, int r), int island) in cells.OrderBy(c => c.Value))
        {
            key = unchecked((key * 1000003) + (island * 64) + ((c - left) * 8) + r - top);
        }

        return key;
    }

    // Two neighbours in different directions make a local frame; turned so that u points right of v's left hand.
    private static IEnumerable<(double, double, double, double)> Frames(List<FlatIsland> islands, IslandIndex index, int seed)
    {
        FlatIsland s = islands[seed];
        List<(double X, double Y)> near = [];
        foreach (int i in index.Within(s.X, s.Y, 2.2 * s.Size))
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

    private static Dictionary<(int, int), int> Grow(
        List<FlatIsland> islands, IslandIndex index, int seed, (double X, double Y) u, (double X, double Y) v, int longest)
    {
        Dictionary<(int, int), int> cells = new() { [(0, 0)] = seed };
        HashSet<int> used = [seed];
        Queue<((int C, int R) Cell, (double X, double Y) U, (double X, double Y) V)> open = new();
        open.Enqueue(((0, 0), u, v));
        (int minC, int maxC, int minR, int maxR) = (0, 0, 0, 0);
        while (open.Count > 0)
        {
            ((int c, int r) cell, (double X, double Y) cu, (double X, double Y) cv) = open.Dequeue();
            FlatIsland from = islands[cells[cell]];
            foreach ((int dc, int dr) in (ReadOnlySpan<(int, int)>)[(1, 0), (0, 1), (-1, 0), (0, -1)])
            {
                (int C, int R) next = (cell.c + dc, cell.r + dr);
                if (cells.ContainsKey(next)
                    || Math.Max(maxC, next.C) - Math.Min(minC, next.C) >= longest || Math.Max(maxR, next.R) - Math.Min(minR, next.R) >= longest)
                {
                    continue;
                }

                double stepX = dc != 0 ? dc * cu.X : dr * cv.X, stepY = dc != 0 ? dc * cu.Y : dr * cv.Y;
                double reach = 0.3 * Math.Sqrt((stepX * stepX) + (stepY * stepY));
                int i = index.Nearest(from.X + stepX, from.Y + stepY, reach, from.Size / 1.6, from.Size * 1.6);
                if (i < 0 || !used.Add(i))
                {
                    continue;
                }

                cells[next] = i;
                (minC, maxC, minR, maxR) = (Math.Min(minC, next.C), Math.Max(maxC, next.C), Math.Min(minR, next.R), Math.Max(maxR, next.R));
                double mx = islands[i].X - from.X, my = islands[i].Y - from.Y;
                open.Enqueue(dc != 0
                    ? (next, ((cu.X + (dc * mx)) / 2, (cu.Y + (dc * my)) / 2), cv)
                    : (next, cu, ((cv.X + (dr * mx)) / 2, (cv.Y + (dr * my)) / 2)));
            }
        }

        return cells;
    }

    private static PatchLattice? Fit(List<FlatIsland> islands, Dictionary<(int C, int R), int> cells)
    {
        Dictionary<(int C, int R), FlatIsland> kept = cells.ToDictionary(c => c.Key, c => islands[c.Value]);
        for (int round = 0; round < 4 && kept.Count >= FewestCells; round++)
        {
            PicturePoint[] grid = [.. kept.Keys.Select(c => new PicturePoint(c.C + 0.5, c.R + 0.5))];
            PicturePoint[] seen = [.. kept.Values.Select(i => new PicturePoint(i.X, i.Y))];
            if (Homography.Fit(grid, seen) is not Homography h)
            {
                return null;
            }

            Dictionary<(int C, int R), FlatIsland> near = kept.Where(c =>
            {
                PicturePoint p = h.Map(c.Key.C + 0.5, c.Key.R + 0.5);
                double d = Math.Sqrt(((p.X - c.Value.X) * (p.X - c.Value.X)) + ((p.Y - c.Value.Y) * (p.Y - c.Value.Y)));
                return d <= 0.15 * c.Value.Size + 0.5;
            }).ToDictionary(c => c.Key, c => c.Value);
            if (near.Count == kept.Count)
            {
                return new PatchLattice(kept, h);
            }

            kept = near;
        }

        return null;
    }
}
