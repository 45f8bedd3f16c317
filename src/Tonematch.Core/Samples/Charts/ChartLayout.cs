namespace Tonematch.Samples.Charts;

/// <summary>
/// The arrangement of a chart's patches: a grid of equal cells with a patch in the middle of each. Grid coordinates
/// count cells from the top left corner of the grid, so the first patch's centre is at (0.5, 0.5).
/// </summary>
public sealed record ChartLayout
{
    /// <summary>Makes a layout.</summary>
    /// <exception cref="ArgumentOutOfRangeException">No columns or rows, more than 100, or a share outside (0, 1].</exception>
    public ChartLayout(int columns, int rows, double patchShare)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(columns, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(columns, 100);
        ArgumentOutOfRangeException.ThrowIfLessThan(rows, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(rows, 100);
        if (!(patchShare > 0 && patchShare <= 1))
        {
            throw new ArgumentOutOfRangeException(nameof(patchShare), patchShare, "The patch's share of its cell's side is above 0, at most 1.");
        }

        (Columns, Rows, PatchShare) = (columns, rows, patchShare);
    }

    /// <summary>Patches per row.</summary>
    public int Columns { get; }

    /// <summary>Rows of patches.</summary>
    public int Rows { get; }

    /// <summary>Side of a patch as a share of its cell's side.</summary>
    public double PatchShare { get; }

    /// <summary>The number of patches.</summary>
    public int Count => Columns * Rows;
}
