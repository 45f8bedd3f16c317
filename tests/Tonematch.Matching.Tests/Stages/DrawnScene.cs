using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>Pictures drawn for the stages: a wall of coloured tiles, a chart in front of it, and what a camera makes of them.</summary>
internal static class DrawnScene
{
    /// <summary>Corners of the chart in a picture of any size, as shares of it.</summary>
    public static RegionShape ChartCorners { get; } = RegionShape.Box(0.25, 0.2, 0.5, 0.6);

    /// <summary>Tiles of many colours, each seed another wall.</summary>
    /// <param name="seed">Which wall.</param>
    /// <param name="gain">What the camera makes of the light.</param>
    /// <param name="width">Pixels in a row.</param>
    /// <param name="height">Rows.</param>
    public static Picture Tiles(int seed, double gain = 1, int width = 640, int height = 360)
    {
        const int columns = 32, rows = 18;
        Random random = new(seed);
        CodeRgb[] tiles = [.. Enumerable.Range(0, columns * rows).Select(_ => new CodeRgb(
            0.15 + (0.6 * random.NextDouble()), 0.15 + (0.6 * random.NextDouble()), 0.15 + (0.6 * random.NextDouble())))];
        return Draw(width, height, (x, y) =>
        {
            CodeRgb c = tiles[(y * rows / height * columns) + (x * columns / width)];
            return new CodeRgb(gain * c.R, gain * c.G, gain * c.B);
        });
    }

    /// <summary>A picture in another light: code values times a gain for each channel.</summary>
    public static Picture Lit(Picture picture, double r, double g, double b)
    {
        static float[] Scaled(ReadOnlySpan<float> plane, double gain)
        {
            float[] scaled = plane.ToArray();
            for (int i = 0; i < scaled.Length; i++)
            {
                scaled[i] *= (float)gain;
            }

            return scaled;
        }

        return new Picture(picture.Width, picture.Height, Scaled(picture.R, r), Scaled(picture.G, g), Scaled(picture.B, b), picture.Encoding);
    }

    /// <summary>One grey.</summary>
    public static Picture Plain(double grey = 0.5, int width = 640, int height = 360) => Draw(width, height, (_, _) => CodeRgb.Grey(grey));

    /// <summary>The chart with its published colours on a dark board, at <see cref="ChartCorners"/>.</summary>
    /// <param name="gain">What the camera makes of the light.</param>
    public static Picture Chart(double gain = 1)
    {
        ChartReference chart = ChartReference.Chart24;
        const int width = 640, height = 360;
        double half = chart.Layout.PatchShare / 2;
        return Draw(width, height, (x, y) =>
        {
            double u = (((x + 0.5) / width) - 0.25) / 0.5 * chart.Layout.Columns, v = (((y + 0.5) / height) - 0.2) / 0.6 * chart.Layout.Rows;
            (int c, int r) = ((int)Math.Floor(u), (int)Math.Floor(v));
            bool onPatch = c >= 0 && r >= 0 && c < chart.Layout.Columns && r < chart.Layout.Rows
                && Math.Abs(u - c - 0.5) < half && Math.Abs(v - r - 0.5) < half;
            CodeRgb code = onPatch ? chart.CodeOf((r * chart.Layout.Columns) + c, SignalEncoding.Bt709).Clamped() : CodeRgb.Grey(0.05);

            // Lifted a little, so that no patch clips.
            code = onPatch ? new CodeRgb(0.05 + (0.85 * code.R), 0.05 + (0.85 * code.G), 0.05 + (0.85 * code.B)) : code;
            return new CodeRgb(gain * code.R, gain * code.G, gain * code.B);
        });
    }

    /// <summary>The chart, smaller, held before the wall of tiles.</summary>
    /// <param name="seed">Which wall.</param>
    /// <param name="gain">What the camera makes of the light.</param>
    public static Picture ChartOnTiles(int seed, double gain = 1)
    {
        Picture wall = Tiles(seed, gain), chart = PictureScale.ToSmall(Chart(gain), 320);
        const int left = 200, top = 90;
        return Draw(wall.Width, wall.Height, (x, y) =>
            x - left is >= 70 and < 250 && y - top is >= 30 and < 150 ? chart[x - left, y - top] : wall[x, y]);
    }

    private static Picture Draw(int width, int height, Func<int, int, CodeRgb> colour)
    {
        float[] r = new float[width * height], g = new float[r.Length], b = new float[r.Length];
        for (int i = 0; i < r.Length; i++)
        {
            CodeRgb c = colour(i % width, i / width);
            (r[i], g[i], b[i]) = ((float)c.R, (float)c.G, (float)c.B);
        }

        return new Picture(width, height, r, g, b, SignalEncoding.Bt709);
    }
}
