using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Samples.Charts;

/// <summary>The position of a chart in a picture.</summary>
/// <param name="Layout">The arrangement of its patches.</param>
/// <param name="GridToPicture">Grid coordinates (cells) to picture coordinates (pixels).</param>
public sealed record ChartGeometry(ChartLayout Layout, Homography GridToPicture)
{
    /// <summary>
    /// The outer corners of the corner patches in picture coordinates: top left, top right, bottom right, bottom left
    /// in the chart's own orientation, however it is turned in the picture.
    /// </summary>
    public ImmutableArray<PicturePoint> Corners => [.. GridCorners(Layout).Select(c => GridToPicture.Map(c.X, c.Y))];

    /// <summary>
    /// From the four outer corners of the corner patches, in the order of <see cref="Corners"/>. Null if they are not a
    /// plane in perspective (three on a line, crossing sides).
    /// </summary>
    /// <exception cref="ArgumentException">Not four corners.</exception>
    public static ChartGeometry? FromCorners(ChartLayout layout, ReadOnlySpan<PicturePoint> corners)
    {
        ArgumentNullException.ThrowIfNull(layout);
        if (corners.Length != 4)
        {
            throw new ArgumentException("A chart has four corners.", nameof(corners));
        }

        Homography? h = IsConvex(corners) ? Homography.Fit(GridCorners(layout), corners) : null;
        return h is null ? null : new ChartGeometry(layout, h);
    }

    /// <summary>
    /// The middle of a patch as a quadrilateral in the picture. <paramref name="areaShare"/> is its share of the
    /// patch's area (one half stays clear of the edges).
    /// </summary>
    public ImmutableArray<PicturePoint> Patch(int index, double areaShare = 0.5)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(index);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(index, Layout.Count);
        double half = Layout.PatchShare * Math.Sqrt(areaShare) / 2;
        double x = (index % Layout.Columns) + 0.5, y = (index / Layout.Columns) + 0.5;
        return
        [
            GridToPicture.Map(x - half, y - half), GridToPicture.Map(x + half, y - half),
            GridToPicture.Map(x + half, y + half), GridToPicture.Map(x - half, y + half),
        ];
    }

    /// <summary>The same place read upside down: the last patch becomes the first.</summary>
    public ChartGeometry HalfTurn() =>
        new(Layout, new Homography(GridToPicture.Matrix * new Matrix3(-1, 0, Layout.Columns, 0, -1, Layout.Rows, 0, 0, 1)));

    /// <summary>The same chart in the picture enlarged by a factor.</summary>
    public ChartGeometry Scaled(double factor) =>
        new(Layout, new Homography(Matrix3.Diagonal(factor, factor, 1) * GridToPicture.Matrix));

    private static PicturePoint[] GridCorners(ChartLayout layout)
    {
        double gap = (1 - layout.PatchShare) / 2, right = layout.Columns - gap, bottom = layout.Rows - gap;
        return [new(gap, gap), new(right, gap), new(right, bottom), new(gap, bottom)];
    }

    private static bool IsConvex(ReadOnlySpan<PicturePoint> p)
    {
        int turns = 0;
        for (int i = 0; i < 4; i++)
        {
            PicturePoint a = p[i], b = p[(i + 1) % 4], c = p[(i + 2) % 4];
            double cross = ((b.X - a.X) * (c.Y - b.Y)) - ((b.Y - a.Y) * (c.X - b.X));
            turns += double.IsFinite(cross) ? Math.Sign(cross) : 0;
        }

        return Math.Abs(turns) == 4;
    }
}
