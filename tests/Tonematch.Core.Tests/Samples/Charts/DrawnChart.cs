using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;

namespace Tonematch.Core.Tests.Samples.Charts;

/// <summary>Draws a chart with its reference colours into a picture, through a camera.</summary>
internal static class DrawnChart
{
    public static readonly PicturePoint[] Tilted = [new(62, 40), new(300, 66), new(285, 230), new(50, 190)];

    /// <summary>The tilted chart as a camera shows it, measured.</summary>
    public static ChartMeasurement Measured(ChartReference chart, Func<int, CodeRgb, CodeRgb> camera) =>
        ChartSampler.Measure(Draw(chart, Tilted, camera), ChartGeometry.FromCorners(chart.Layout, Tilted)!);

    public static Picture Draw(ChartReference chart, ReadOnlySpan<PicturePoint> corners, Func<int, CodeRgb, CodeRgb> camera, int width = 360, int height = 270)
    {
        Homography toGrid = ChartGeometry.FromCorners(chart.Layout, corners)!.GridToPicture.Inverse();
        double half = chart.Layout.PatchShare / 2;
        return DrawnPicture.Of(width, height, (x, y) =>
        {
            PicturePoint g = toGrid.Map(x + 0.5, y + 0.5);
            (int c, int r) = ((int)Math.Floor(g.X), (int)Math.Floor(g.Y));
            bool onPatch = c >= 0 && r >= 0 && c < chart.Layout.Columns && r < chart.Layout.Rows
                && Math.Abs(g.X - c - 0.5) < half && Math.Abs(g.Y - r - 0.5) < half;
            int index = (r * chart.Layout.Columns) + c;
            return onPatch ? camera(index, chart.CodeOf(index, SignalEncoding.Srgb).Clamped()) : CodeRgb.Grey(0.1);
        });
    }
}
