namespace Tonematch.Vision.Charts;

/// <summary>
/// Islands by their cell on a small grid, with cells counted from an arbitrary one; in the order they were added.
/// </summary>
/// <param name="longest">The largest number of cells per side.</param>
internal sealed class GridCells(int longest)
{
    // Wherever the first cell is on the grid, the others are less than 'longest' away.
    private readonly int[] _numbers = new int[((2 * longest) - 1) * ((2 * longest) - 1)];
    private readonly (int Column, int Row, int Island)[] _cells = new (int, int, int)[longest * longest];

    /// <summary>The number of cells with an island.</summary>
    public int Count { get; private set; }

    /// <summary>First column with an island.</summary>
    public int Left { get; private set; }

    /// <summary>Last column with an island.</summary>
    public int Right { get; private set; }

    /// <summary>First row with an island.</summary>
    public int Top { get; private set; }

    /// <summary>Last row with an island.</summary>
    public int Bottom { get; private set; }

    /// <summary>The cells with an island, and its index.</summary>
    public ReadOnlySpan<(int Column, int Row, int Island)> Cells => _cells.AsSpan(0, Count);

    /// <summary>Whether the cell has an island.</summary>
    public bool Has(int column, int row) =>
        Math.Abs(column) < longest && Math.Abs(row) < longest && _numbers[At(column, row)] != 0;

    /// <summary>Whether the grid would still respect its largest number of cells per side.</summary>
    public bool HasRoomFor(int column, int row) =>
        Math.Max(Right, column) - Math.Min(Left, column) < longest && Math.Max(Bottom, row) - Math.Min(Top, row) < longest;

    /// <summary>Whether the island is on the grid.</summary>
    public bool Contains(int island)
    {
        foreach ((_, _, int known) in Cells)
        {
            if (known == island)
            {
                return true;
            }
        }

        return false;
    }

    /// <summary>Puts an island into an empty cell for which there is room.</summary>
    public void Add(int column, int row, int island)
    {
        (Left, Right, Top, Bottom) = Count == 0
            ? (column, column, row, row)
            : (Math.Min(Left, column), Math.Max(Right, column), Math.Min(Top, row), Math.Max(Bottom, row));
        _cells[Count++] = (column, row, island);
        _numbers[At(column, row)] = Count;
    }

    private int At(int column, int row) => ((row + longest - 1) * ((2 * longest) - 1)) + column + longest - 1;
}
