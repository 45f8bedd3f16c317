using System.Collections.Immutable;
using Tonematch.Pictures;

namespace Tonematch.Samples.Charts;

/// <summary>
/// Samples the surroundings of a chart in its own plane: the board it is on, the ground, the table, the wall.
/// </summary>
public static class ChartSurroundings
{
    // How far beyond the chart's edge to sample, in chart lengths. The homography from a chart's patches is accurate
    // enough there (an error of one pixel at the corners becomes five, and a cell is about eighty).
    private const double Reach = 1;

    // Share of a chart's cell around its patches that belongs to the chart, as its frame.
    private const double Frame = 0.5;

    // A chart whose corners move by less than this share of the picture's width is at rest.
    private const double Rest = 0.004;

    /// <summary>
    /// Samples cells of the chart's own plane around it, at the first instant; if chart and cameras are at rest at
    /// another instant under the same light, cells that changed in between are left out ('moved').
    /// </summary>
    /// <param name="instants">Both pictures of each instant with the chart as measured in them, at least one.</param>
    public static SampleSet Sample(IReadOnlyList<(Picture Primary, Picture Secondary, ChartPairing Chart)> instants)
    {
        ArgumentNullException.ThrowIfNull(instants);
        if (instants.Count == 0)
        {
            throw new ArgumentException("At least one instant is needed.", nameof(instants));
        }

        (Picture primary, Picture secondary, ChartPairing chart) = instants[0];
        ChartGeometry own = chart.Primary.Geometry;
        Homography toGrid = own.GridToPicture.Inverse(), there = chart.Secondary.Geometry.GridToPicture;
        double margin = Reach * Math.Max(own.Layout.Columns, own.Layout.Rows), half = SceneCells.Side * primary.Width / 2;

        Func<PicturePoint, PicturePoint>? Carry(PicturePoint centre) =>
            Within(toGrid.Map(centre.X, centre.Y), own.Layout, margin) && IsBefore(toGrid, centre) && IsBefore(there, toGrid.Map(centre.X, centre.Y))
                ? q =>
                {
                    PicturePoint g = toGrid.Map(q.X, q.Y);
                    return there.Map(g.X, g.Y);
                }
        : null;
        Func<PicturePoint, bool> isOnChart = OnChart(own);
        bool IsFree(PicturePoint centre) => !new PictureBox(centre.X, centre.Y, 2 * half, 2 * half).Corners().Append(centre).Any(isOnChart);

        SampleSet cells = SceneCells.Sample(primary, secondary, Carry, IsFree, chart.PrimarySeconds, chart.SecondarySeconds);
        foreach ((Picture laterPrimary, Picture laterSecondary, ChartPairing later) in instants.Skip(1))
        {
            if (IsAtRest(own, later.Primary.Geometry, primary) && IsAtRest(chart.Secondary.Geometry, later.Secondary.Geometry, secondary))
            {
                ImmutableArray<SamplePair> still = SceneCells.Still(cells.Pairs, primary, secondary, laterPrimary, laterSecondary);
                int moved = cells.Pairs.Length - still.Length;
                cells = moved == 0 ? cells : cells with { Pairs = still, Rejected = cells.Rejected.SetItem("moved", cells.Rejected.GetValueOrDefault("moved") + moved) };
            }
        }

        return cells;
    }

    /// <summary>
    /// Tests whether a point of a picture, in pixels, lies on its chart, which includes half a cell around the patches.
    /// </summary>
    /// <param name="chart">The chart's position in the picture.</param>
    public static Func<PicturePoint, bool> OnChart(ChartGeometry chart)
    {
        ArgumentNullException.ThrowIfNull(chart);
        Homography toGrid = chart.GridToPicture.Inverse();
        return at => Within(toGrid.Map(at.X, at.Y), chart.Layout, Frame);
    }

    private static bool Within(PicturePoint grid, ChartLayout layout, double margin) =>
        grid.X > -margin && grid.Y > -margin && grid.X < layout.Columns + margin && grid.Y < layout.Rows + margin;

    // Whether it is on the chart's side of the plane's horizon.
    private static bool IsBefore(Homography h, PicturePoint at)
    {
        (_, _, double w) = h.Matrix.Times(at.X, at.Y, 1);
        PicturePoint back = h.Map(at.X, at.Y);
        return double.IsFinite(back.X) && double.IsFinite(back.Y) && Math.Sign(w) == Math.Sign(h.Matrix.Determinant);
    }

    private static bool IsAtRest(ChartGeometry now, ChartGeometry later, Picture picture) =>
        now.Corners.Zip(later.Corners).All(c => Math.Max(Math.Abs(c.First.X - c.Second.X), Math.Abs(c.First.Y - c.Second.Y)) <= Rest * picture.Width);
}
