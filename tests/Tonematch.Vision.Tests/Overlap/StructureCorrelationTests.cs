using CsCheck;
using OpenCvSharp;
using Tonematch.Vision.Overlap;
using Xunit;

namespace Tonematch.Vision.Tests.Overlap;

public class StructureCorrelationTests
{
    // Source: OpenCV's matchTemplate (TM_CCOEFF_NORMED) on the same views; it works in single precision by Fourier transforms.
    [Fact]
    public void Of_ViewsWithStructure_GivesWhatOpenCvGives()
    {
        Gen.Select(Gen.Int[3, 40], Gen.Int[3, 40], Gen.Int[0, 30], Gen.Int[0, 30], Gen.Int[0, int.MaxValue - 1]).Sample((width, height, right, down, seed) =>
        {
            Random random = new(seed);
            using Mat large = View(random, width + right, height + down);
            using Mat part = new(large, new Rect(right / 2, down / 3, width, height)), small = part.Clone(), scores = new();
            Cv2.MatchTemplate(large, small, scores, TemplateMatchModes.CCoeffNormed);
            scores.GetArray(out float[] expected);
            double[] found = new StructureCorrelation().Of(large, small);
            Assert.Equal(expected.Length, found.Length);
            Cv2.MeanStdDev(small, out _, out Scalar deviation);
            if (deviation.Val0 > 1)
            {
                Assert.All(expected.Zip(found), p => Assert.InRange(p.Second - p.First, -2e-3, 2e-3));
                Assert.Equal(1, found[(down / 3 * (right + 1)) + (right / 2)], 1e-3);
            }
        }, iter: 1000);
    }

    [Fact]
    public void Of_AnEvenView_IsNoStructure()
    {
        using Mat large = new(9, 9, MatType.CV_8UC1, new Scalar(77)), small = new(3, 3, MatType.CV_8UC1, new Scalar(77));
        Assert.All(new StructureCorrelation().Of(large, small), c => Assert.Equal(0, c));
    }

    // Noise on a slope: plain noise alone would hide an error in the means.
    private static Mat View(Random random, int width, int height)
    {
        byte[] values = new byte[width * height];
        double slope = random.NextDouble() * 2, noise = 20 + (random.NextDouble() * 80);
        for (int i = 0; i < values.Length; i++)
        {
            values[i] = (byte)Math.Clamp((slope * (i % width)) + (noise * random.NextDouble()) + 40, 0, 255);
        }

        return Mat.FromPixelData(height, width, MatType.CV_8UC1, values).Clone();
    }
}
