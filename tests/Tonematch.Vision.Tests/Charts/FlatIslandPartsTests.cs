using OpenCvSharp;
using Tonematch.Vision.Charts;
using Xunit;

namespace Tonematch.Vision.Tests.Charts;

// Expected values: OpenCV's findContours, convexHull, minAreaRect, moments, morphologyEx and max on the same masks and
// pictures.
public class FlatIslandPartsTests
{
    [Theory]
    [InlineData(1, 0.3)]
    [InlineData(2, 0.5)]
    [InlineData(3, 0.7)]
    public void Follow_ARaggedMask_GivesTheOutlinesOpenCvGives(int seed, double share)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        using Mat mask = Ragged(seed, share, 83, 61);
        Cv2.FindContours(mask, out Point[][] expected, out _, RetrievalModes.List, ContourApproximationModes.ApproxSimple);
        List<string> found = [];
        new MaskOutlines().Follow(mask.AsSpan<byte>(), mask.Width, (corners, area) =>
            found.Add(Text(corners.ToArray().Select(c => (c.X, c.Y)), area)));
        Assert.True(expected.Length > 40, $"{expected.Length} outlines");
        Assert.Equal(expected.Select(c => Text(c.Select(p => (p.X, p.Y)), Cv2.ContourArea(c))).Order(), found.Order());
    }

    [Fact]
    public void Of_RaggedOutlines_GivesTheHullsOpenCvGives()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        using Mat mask = Ragged(4, 0.55, 200, 150);
        OutlineShape.Measurer measurer = new();
        int measured = 0;
        new MaskOutlines().Follow(mask.AsSpan<byte>(), mask.Width, (corners, area) =>
        {
            if (area < 5)
            {
                return;
            }

            OutlineShape shape = Assert.NotNull(measurer.Of(corners, area, 0, 1e-9));
            Point[] hull = Cv2.ConvexHull(corners.ToArray().Select(c => new Point(c.X, c.Y)));
            RotatedRect box = Cv2.MinAreaRect(hull);
            Moments moments = Cv2.Moments(hull);
            Assert.Equal(Cv2.ContourArea(hull), shape.Area, 1e-6);
            Assert.Equal(moments.M10 / moments.M00, shape.X, 1e-3);
            Assert.Equal(moments.M01 / moments.M00, shape.Y, 1e-3);
            Assert.Equal(box.Size.Width * box.Size.Height, shape.Shorter * shape.Longer, 1e-3 * shape.Area);
            measured++;
        });
        Assert.True(measured > 20, $"{measured} hulls");
    }

    [Theory]
    [InlineData(97, 41)]
    [InlineData(5, 3)]
    public void Of_APicture_GivesTheGradientAndTheMaximumOpenCvGives(int width, int height)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        Random random = new(6);
        using Mat picture = new(height, width, MatType.CV_8UC3), gradient = new(), square = Cv2.GetStructuringElement(MorphShapes.Rect, new Size(3, 3));
        foreach (ref Vec3b pixel in picture.AsSpan<Vec3b>())
        {
            pixel = new Vec3b((byte)random.Next(256), (byte)random.Next(256), (byte)random.Next(256));
        }

        Cv2.MorphologyEx(picture, gradient, MorphTypes.Gradient, square);
        (Mat steepest, Mat brightest) = ColourSteps.Of(picture);
        using (steepest)
        using (brightest)
        {
            Assert.Equal(Largest(gradient), steepest.AsSpan<byte>().ToArray());
            Assert.Equal(Largest(picture), brightest.AsSpan<byte>().ToArray());
        }
    }

    private static byte[] Largest(Mat picture) => [.. picture.AsSpan<Vec3b>().ToArray().Select(p => Math.Max(p.Item0, Math.Max(p.Item1, p.Item2)))];

    // Where an outline begins does not matter.
    private static string Text(IEnumerable<(int X, int Y)> corners, double area) => $"{area:0.0}: {string.Join(" ", corners.Order())}";

    // Noise, smoothed and cut: areas with holes, some touching by a corner.
    private static Mat Ragged(int seed, double share, int width, int height)
    {
        Random random = new(seed);
        using Mat noise = new(height, width, MatType.CV_32FC1);
        foreach (ref float v in noise.AsSpan<float>())
        {
            v = (float)random.NextDouble();
        }

        Cv2.Blur(noise, noise, new Size(3, 3));
        float limit = noise.AsSpan<float>().ToArray().Order().ElementAt((int)(share * width * height));
        Mat mask = new(height, width, MatType.CV_8UC1);
        ReadOnlySpan<float> values = noise.AsSpan<float>();
        Span<byte> to = mask.AsSpan<byte>();
        for (int i = 0; i < to.Length; i++)
        {
            to[i] = values[i] > limit ? (byte)1 : (byte)0;
        }

        return mask;
    }
}
