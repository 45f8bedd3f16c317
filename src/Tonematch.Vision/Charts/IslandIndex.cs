namespace Tonematch.Vision.Charts;

/// <summary>Finds islands by place.</summary>
internal sealed class IslandIndex
{
    private const double Cell = 32;
    private readonly List<FlatIsland> _islands;
    private readonly Dictionary<(int, int), List<int>> _cells = [];

    public IslandIndex(List<FlatIsland> islands)
    {
        _islands = islands;
        for (int i = 0; i < islands.Count; i++)
        {
            (int, int) key = ((int)(islands[i].X / Cell), (int)(islands[i].Y / Cell));
            if (!_cells.TryGetValue(key, out List<int>? list))
            {
                _cells[key] = list = [];
            }

            list.Add(i);
        }
    }

    /// <summary>The islands whose centre is within a distance.</summary>
    public IEnumerable<int> Within(double x, double y, double distance)
    {
        for (int cy = (int)Math.Floor((y - distance) / Cell); cy <= (int)Math.Floor((y + distance) / Cell); cy++)
        {
            for (int cx = (int)Math.Floor((x - distance) / Cell); cx <= (int)Math.Floor((x + distance) / Cell); cx++)
            {
                if (!_cells.TryGetValue((cx, cy), out List<int>? list))
                {
                    continue;
                }

                foreach (int i in list)
                {
                    double dx = _islands[i].X - x, dy = _islands[i].Y - y;
                    if ((dx * dx) + (dy * dy) <= distance * distance)
                    {
                        yield return i;
                    }
                }
            }
        }
    }

    /// <summary>The nearest island within a distance whose size lies between two limits; -1 when there is none.</summary>
    public int Nearest(double x, double y, double distance, double smallest, double largest)
    {
        (int best, double bestSquare) = (-1, double.PositiveInfinity);
        foreach (int i in Within(x, y, distance))
        {
            FlatIsland o = _islands[i];
            double square = ((o.X - x) * (o.X - x)) + ((o.Y - y) * (o.Y - y));
            if (o.Size >= smallest && o.Size <= largest && square < bestSquare)
            {
                (best, bestSquare) = (i, square);
            }
        }

        return best;
    }
}
