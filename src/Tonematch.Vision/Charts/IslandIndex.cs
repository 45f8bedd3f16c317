namespace Tonematch.Vision.Charts;

/// <summary>Finds islands by position.</summary>
internal sealed class IslandIndex
{
    private const double Cell = 32;
    private readonly List<FlatIsland> _islands;
    private readonly int _columns;
    private readonly int _rows;

    // Chains of islands in each cell.
    private readonly int[] _first;
    private readonly int[] _next;

    public IslandIndex(List<FlatIsland> islands)
    {
        _islands = islands;
        foreach (FlatIsland island in islands)
        {
            (_columns, _rows) = (Math.Max(_columns, (int)(island.X / Cell) + 1), Math.Max(_rows, (int)(island.Y / Cell) + 1));
        }

        _first = new int[_columns * _rows];
        _next = new int[islands.Count];
        Array.Fill(_first, -1);
        for (int i = islands.Count - 1; i >= 0; i--)
        {
            int at = ((int)(islands[i].Y / Cell) * _columns) + (int)(islands[i].X / Cell);
            (_next[i], _first[at]) = (_first[at], i);
        }
    }

    /// <summary>Clears a list and fills it with the islands whose centre is within a distance.</summary>
    public void Within(double x, double y, double distance, List<int> within)
    {
        within.Clear();
        int right = Math.Min(_columns - 1, (int)Math.Floor((x + distance) / Cell)), below = Math.Min(_rows - 1, (int)Math.Floor((y + distance) / Cell));
        for (int cy = Math.Max(0, (int)Math.Floor((y - distance) / Cell)); cy <= below; cy++)
        {
            for (int cx = Math.Max(0, (int)Math.Floor((x - distance) / Cell)); cx <= right; cx++)
            {
                for (int i = _first[(cy * _columns) + cx]; i >= 0; i = _next[i])
                {
                    double dx = _islands[i].X - x, dy = _islands[i].Y - y;
                    if ((dx * dx) + (dy * dy) <= distance * distance)
                    {
                        within.Add(i);
                    }
                }
            }
        }
    }

    /// <summary>The nearest island within a distance whose size lies between two limits; -1 if there is none.</summary>
    public int Nearest(double x, double y, double distance, double smallest, double largest)
    {
        (int best, double bestSquare) = (-1, distance * distance);
        int right = Math.Min(_columns - 1, (int)Math.Floor((x + distance) / Cell)), below = Math.Min(_rows - 1, (int)Math.Floor((y + distance) / Cell));
        for (int cy = Math.Max(0, (int)Math.Floor((y - distance) / Cell)); cy <= below; cy++)
        {
            for (int cx = Math.Max(0, (int)Math.Floor((x - distance) / Cell)); cx <= right; cx++)
            {
                for (int i = _first[(cy * _columns) + cx]; i >= 0; i = _next[i])
                {
                    FlatIsland o = _islands[i];
                    double square = ((o.X - x) * (o.X - x)) + ((o.Y - y) * (o.Y - y));
                    if (square <= bestSquare && o.Size >= smallest && o.Size <= largest)
                    {
                        (best, bestSquare) = (i, square);
                    }
                }
            }
        }

        return best;
    }
}
