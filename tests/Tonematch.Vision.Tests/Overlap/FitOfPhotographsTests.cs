using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Vision.Overlap;
using Xunit;

namespace Tonematch.Vision.Tests.Overlap;

public class FitOfPhotographsTests
{
    // Debian's opencv-doc: a town hall photographed from two places, the secondary twice as close and with 0.7 of its colour.
    // The sky is brighter at one side to one camera only, so one colour of the secondary stands for many of the primary. The
    // fit once followed that with the smallest differences of the secondary: it fell by 0.65 of the range within 0.007 of
    // a pair.
    [Fact]
    public void FitCurvesMatrix_SkyThatDiffersFromPlaceToPlace_DoesNotFallOffBesideThePairs()
    {
        Picture primary = TestPictures.OpenCvExample("leuvenA.jpg"), secondary = CloseWithLessColour(TestPictures.OpenCvExample("leuvenB.jpg"));
        SampleSet pairs = OverlapSampler.Sample(primary, secondary, cancel: TestContext.Current.CancellationToken);
        Assert.Null(pairs.Refusal);
        Correction fitted = CorrectionFitting.Fit(pairs, FitOptions.Default with { Kinds = [CorrectionKind.CurvesMatrix] }, TestContext.Current.CancellationToken).Candidates[1].Correction;
        foreach (CodeRgb at in pairs.Pairs.Select(p => p.Secondary))
        {
            CodeRgb there = fitted.Apply(at);
            foreach (CodeRgb near in (CodeRgb[])[at with { R = at.R - 0.01 }, at with { G = at.G - 0.01 }, at with { B = at.B - 0.01 }])
            {
                CodeRgb beside = fitted.Apply(near);
                double fall = Math.Max(Math.Abs(there.R - beside.R), Math.Max(Math.Abs(there.G - beside.G), Math.Abs(there.B - beside.B)));
                Assert.True(fall < 0.1, $"{at} becomes {there}, {near} {beside}");
            }
        }
    }

    private static Picture CloseWithLessColour(Picture p)
    {
        int w = p.Width / 2, h = p.Height / 2, left = (p.Width - w) / 2, top = (p.Height - h) / 2;
        using Mat crop = new(h, w, MatType.CV_8UC3);
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                CodeRgb c = p[left + x, top + y];
                crop.Set(y, x, new Vec3b((byte)Math.Round(255 * c.B), (byte)Math.Round(255 * c.G), (byte)Math.Round(255 * c.R)));
            }
        }

        using Mat large = new();
        Cv2.Resize(crop, large, new Size(p.Width, p.Height), 0, 0, InterpolationFlags.Cubic);
        Picture close = TestPictures.FromMat(large);
        static float Round(double v) => (float)(Math.Round(255 * v) / 255);
        float[][] planes = [new float[p.Width * p.Height], new float[p.Width * p.Height], new float[p.Width * p.Height]];
        for (int i = 0; i < planes[0].Length; i++)
        {
            double luma = (0.2126 * close.R[i]) + (0.7152 * close.G[i]) + (0.0722 * close.B[i]);
            planes[0][i] = Round(luma + (0.7 * (close.R[i] - luma)));
            planes[1][i] = Round(luma + (0.7 * (close.G[i] - luma)));
            planes[2][i] = Round(luma + (0.7 * (close.B[i] - luma)));
        }

        return new Picture(p.Width, p.Height, planes[0], planes[1], planes[2], close.Encoding);
    }
}
