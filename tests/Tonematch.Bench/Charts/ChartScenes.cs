using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Bench.Charts;

/// <summary>A made picture with (or without) a chart.</summary>
/// <param name="Kind">Which difficulty.</param>
/// <param name="Bgr">The picture, 8 bit.</param>
/// <param name="Centres">Where the 24 patches are, in the chart's order; empty without a chart.</param>
/// <param name="Colours">What they are where they are lit, sRGB code values.</param>
internal sealed record ChartScene(string Kind, Mat Bgr, PicturePoint[] Centres, CodeRgb[] Colours);

/// <summary>Draws charts into real photographs: size, turn, perspective, shade, noise, blur, other grids.</summary>
internal sealed class ChartScenes(SpectralCameras cameras, IReadOnlyList<string> backgrounds)
{
    public static readonly string[] Kinds = ["plain", "small", "tilted", "shaded", "dark and noisy", "beside other grids", "no chart"];

    private const int Width = 1280;
    private const int Height = 720;
    private const int Cell = 60;

    public ChartScene Make(string kind, int seed)
    {
        Random random = new(seed);
        Mat picture = Background(random);
        if (kind is "beside other grids" or "no chart")
        {
            for (int i = random.Next(1, 4); i > 0; i--)
            {
                OtherGrid(picture, random);
            }
        }

        CodeRgb[] colours = cameras.Shoot(random);
        PicturePoint[] centres = [];
        if (kind != "no chart")
        {
            centres = Chart(picture, colours, kind, random);
        }

        Degrade(picture, kind, random);
        return new ChartScene(kind, picture, centres, colours);
    }

    private Mat Background(Random random)
    {
        using Mat photo = Cv2.ImRead(backgrounds[random.Next(backgrounds.Count)]);
        double s = Math.Max((double)Width / photo.Width, (double)Height / photo.Height) * (1 + (0.5 * random.NextDouble()));
        using Mat large = new();
        Cv2.Resize(photo, large, new Size(Math.Ceiling(photo.Width * s), Math.Ceiling(photo.Height * s)), 0, 0, InterpolationFlags.Linear);
        return new Mat(large, new Rect(random.Next(large.Width - Width + 1), random.Next(large.Height - Height + 1), Width, Height)).Clone();
    }

    // A window, a keyboard, a shelf: rows of boxes of one or many colours.
    private static void OtherGrid(Mat picture, Random random)
    {
        int columns = random.Next(3, 12), rows = random.Next(2, 7), cell = random.Next(14, 70), gap = Math.Max(1, cell / random.Next(4, 12));
        int left = random.Next(Math.Max(1, Width - (columns * cell))), top = random.Next(Math.Max(1, Height - (rows * cell)));
        bool many = random.Next(3) > 0;
        int frame = random.Next(160);
        Cv2.Rectangle(picture, new Rect(left - gap, top - gap, (columns * cell) + gap, (rows * cell) + gap), Scalar.All(frame), -1);
        Scalar one = new(random.Next(256), random.Next(256), random.Next(256));
        for (int r = 0; r < rows; r++)
        {
            for (int c = 0; c < columns; c++)
            {
                Scalar colour = many ? new(random.Next(256), random.Next(256), random.Next(256)) : one;
                Cv2.Rectangle(picture, new Rect(left + (c * cell), top + (r * cell), cell - gap, cell - gap), colour, -1);
            }
        }
    }

    private static PicturePoint[] Chart(Mat picture, CodeRgb[] colours, string kind, Random random)
    {
        const int margin = 16;
        using Mat chart = new(new Size((6 * Cell) + (2 * margin), (4 * Cell) + (2 * margin)), MatType.CV_8UC3, Scalar.All(20 + random.Next(25)));
        for (int i = 0; i < 24; i++)
        {
            const int gap = 4;
            CodeRgb c = colours[i];
            Cv2.Rectangle(chart, new Rect(margin + (i % 6 * Cell) + gap, margin + (i / 6 * Cell) + gap, Cell - (2 * gap), Cell - (2 * gap)), new Scalar(255 * c.B, 255 * c.G, 255 * c.R), -1);
        }

        double across = kind switch
        {
            "small" => 80 + (50 * random.NextDouble()),
            "tilted" => 180 + (300 * random.NextDouble()),
            _ => 180 + (420 * random.NextDouble()),
        };
        double tilt = kind == "tilted" ? 40 + (20 * random.NextDouble()) : 20 * random.NextDouble();
        double turn = kind is "plain" or "small" ? 30 * (random.NextDouble() - 0.5) + (90 * random.Next(4)) : 360 * random.NextDouble();
        Point2f[] corners = Corners(chart.Width / (6.0 * Cell) * across, chart.Height / (6.0 * Cell) * across, tilt, 360 * random.NextDouble(), turn, random);
        using Mat h = Cv2.GetPerspectiveTransform((Point2f[])[new(0, 0), new(chart.Width, 0), new(chart.Width, chart.Height), new(0, chart.Height)], corners);
        if (kind == "shaded")
        {
            Shade(chart, random);
        }

        Paste(picture, chart, h);
        Point2f[] grid = [.. Enumerable.Range(0, 24).Select(i => new Point2f(margin + ((i % 6 + 0.5f) * Cell), margin + ((i / 6 + 0.5f) * Cell)))];
        return [.. Cv2.PerspectiveTransform(grid, h).Select(p => new PicturePoint(p.X, p.Y))];
    }

    // A pinhole camera at four chart widths: tilted about a random axis, turned, somewhere in the frame.
    private static Point2f[] Corners(double width, double height, double tilt, double axis, double turn, Random random)
    {
        double t = tilt * Math.PI / 180, a = axis * Math.PI / 180, z = turn * Math.PI / 180, distance = 4 * width;
        Point2d[] flat = [new(-width / 2, -height / 2), new(width / 2, -height / 2), new(width / 2, height / 2), new(-width / 2, height / 2)];
        Point2d[] seen = [.. flat.Select(p =>
        {
            double x = (p.X * Math.Cos(a)) + (p.Y * Math.Sin(a)), y = (p.Y * Math.Cos(a)) - (p.X * Math.Sin(a));
            double depth = 1 + (y * Math.Sin(t) / distance), u = x / depth, v = y * Math.Cos(t) / depth, b = z - a;
            return new Point2d((u * Math.Cos(b)) - (v * Math.Sin(b)), (u * Math.Sin(b)) + (v * Math.Cos(b)));
        })];
        double minX = seen.Min(p => p.X), maxX = seen.Max(p => p.X), minY = seen.Min(p => p.Y), maxY = seen.Max(p => p.Y);
        double shrink = Math.Min(1, Math.Min(Width / (maxX - minX + 20), Height / (maxY - minY + 20)));
        double cx = 10 - (minX * shrink) + (random.NextDouble() * (Width - 20 - ((maxX - minX) * shrink)));
        double cy = 10 - (minY * shrink) + (random.NextDouble() * (Height - 20 - ((maxY - minY) * shrink)));
        return [.. seen.Select(p => new Point2f((float)(cx + (shrink * p.X)), (float)(cy + (shrink * p.Y))))];
    }

    // A shadow with a soft straight edge over a fifth to a half of the chart: a quarter to a half of the light.
    private static void Shade(Mat chart, Random random)
    {
        double angle = 2 * Math.PI * random.NextDouble(), nx = Math.Cos(angle), ny = Math.Sin(angle);
        double reach = (Math.Abs(nx) * chart.Width / 2) + (Math.Abs(ny) * chart.Height / 2), at = reach * 0.6 * random.NextDouble();
        double light = 0.25 + (0.25 * random.NextDouble()), soft = 4 + (16 * random.NextDouble());
        chart.GetArray(out Vec3b[] pixels);
        int width = chart.Width, height = chart.Height;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                double d = (nx * (x - (width / 2.0))) + (ny * (y - (height / 2.0))) - at;
                double k = 1 - ((1 - light) / (1 + Math.Exp(-4 * d / soft)));
                ref Vec3b p = ref pixels[(y * width) + x];
                p = new Vec3b(Dim(p.Item0, k), Dim(p.Item1, k), Dim(p.Item2, k));
            }
        }

        using Mat shaded = Mat.FromPixelData(height, width, MatType.CV_8UC3, pixels);
        shaded.CopyTo(chart);
    }

    private static byte Dim(byte code, double light) =>
        (byte)Math.Clamp(Math.Round(255 * SignalEncoding.Srgb.FromScene(light * SignalEncoding.Srgb.ToScene(code / 255.0))), 0, 255);

    // Drawn three times as large, then averaged: what a lens and a sensor do.
    private static void Paste(Mat picture, Mat chart, Mat h)
    {
        using Mat scale = Mat.FromPixelData(3, 3, MatType.CV_64FC1, (double[])[3, 0, 0, 0, 3, 0, 0, 0, 1]);
        using Mat large = new(), full = new(new Size(chart.Width, chart.Height), MatType.CV_8UC1, Scalar.All(255)), mask = new(), small = new(), part = new();
        using Mat h3 = scale * h;
        Size size = new(3 * Width, 3 * Height);
        Cv2.WarpPerspective(chart, large, h3, size, InterpolationFlags.Linear, BorderTypes.Replicate);
        Cv2.WarpPerspective(full, mask, h3, size, InterpolationFlags.Linear);
        Cv2.Resize(large, small, new Size(Width, Height), 0, 0, InterpolationFlags.Area);
        Cv2.Resize(mask, part, new Size(Width, Height), 0, 0, InterpolationFlags.Area);
        Cv2.Threshold(part, part, 127, 255, ThresholdTypes.Binary);
        small.CopyTo(picture, part);
    }

    private static void Degrade(Mat picture, string kind, Random random)
    {
        double blur = 0.3 + (0.7 * random.NextDouble());
        Cv2.GaussianBlur(picture, picture, new Size(0, 0), blur);
        double noise = kind == "dark and noisy" ? 5 + (7 * random.NextDouble()) : 0.5 + (2 * random.NextDouble()), gain = kind == "dark and noisy" ? 0.35 + (0.3 * random.NextDouble()) : 1;
        using Mat f = new(), n = new(picture.Size(), MatType.CV_32FC3);
        picture.ConvertTo(f, MatType.CV_32FC3, gain);
        Cv2.SetTheRNG((ulong)random.Next(1, int.MaxValue));
        Cv2.Randn(n, Scalar.All(0), Scalar.All(noise));
        Cv2.Add(f, n, f);
        f.ConvertTo(picture, MatType.CV_8UC3);
        Cv2.ImEncode(".jpg", picture, out byte[] jpeg, new ImageEncodingParam(ImwriteFlags.JpegQuality, 75 + random.Next(22)));
        using Mat decoded = Cv2.ImDecode(jpeg, ImreadModes.Color);
        decoded.CopyTo(picture);
    }
}
