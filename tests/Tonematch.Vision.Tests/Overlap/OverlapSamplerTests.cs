using System.Globalization;
using System.Xml.Linq;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Vision.Overlap;
using Xunit;

namespace Tonematch.Vision.Tests.Overlap;

public class OverlapSamplerTests
{
    // Source: OpenCV's examples graf1.png, graf3.png and the measured homography H1to3p.xml between them (K.
    // Mikolajczyk et al., 'A comparison of affine region detectors', IJCV 65, 2005).
    [Fact]
    public void Sample_APlaneFromTwoAngles_PairsTheSamePlaces()
    {
        Picture primary = TestPictures.OpenCvExample("graf1.png"), secondary = TestPictures.OpenCvExample("graf3.png");
        double[] h = [.. XDocument.Load("/usr/share/doc/opencv-doc/examples/data/H1to3p.xml").Descendants("data").First().Value
            .Split((char[]?)null, StringSplitOptions.RemoveEmptyEntries).Select(v => double.Parse(v, CultureInfo.InvariantCulture))];
        Homography truth = new(new Matrix3(h[0], h[1], h[2], h[3], h[4], h[5], h[6], h[7], h[8]));
        SampleSet set = OverlapSampler.Sample(primary, secondary, cancel: TestContext.Current.CancellationToken);
        Assert.Null(set.Refusal);
        Assert.True(set.Pairs.Length >= 60, $"{set.Pairs.Length} pairs");
        double[] errors = [.. set.Pairs.Select(p =>
        {
            PictureBox from = p.Origin!.Primary.In(primary), to = p.Origin.Secondary.In(secondary);
            PicturePoint expected = truth.Map(from.X, from.Y);
            return Math.Max(Math.Abs(expected.X - to.X), Math.Abs(expected.Y - to.Y));
        }).Order()];
        Assert.True(errors[errors.Length / 2] < 2, $"median {errors[errors.Length / 2]} pixels");
        Assert.True(errors[errors.Length * 9 / 10] < 5, $"90 % below {errors[errors.Length * 9 / 10]} pixels");
    }

    // The secondary is a part of the same real scene from the other camera, enlarged, two stops under and warmer: the
    // pairs must tell these gains, whatever the pictures show.
    [Fact]
    public void Sample_CloseDarkAndWarmSecondary_PairsTellTheGains()
    {
        Picture primary = TestPictures.OpenCvExample("rubberwhale1.png");
        double[] gain = [0.25, 0.20, 0.14];
        Picture secondary = Close(TestPictures.OpenCvExample("rubberwhale2.png"), 2, gain);
        SampleSet set = OverlapSampler.Sample(primary, secondary, cancel: TestContext.Current.CancellationToken);
        Assert.Null(set.Refusal);
        Assert.True(set.Pairs.Length >= 60, $"{set.Pairs.Length} pairs");
        SceneRgb[] p = [.. set.Pairs.Select(x => SignalEncoding.Srgb.ToScene(x.Primary))], s = [.. set.Pairs.Select(x => SignalEncoding.Srgb.ToScene(x.Secondary))];
        Assert.Equal(gain[0], Median([.. p.Zip(s, (a, b) => b.R / a.R)]), 0.06 * gain[0]);
        Assert.Equal(gain[1], Median([.. p.Zip(s, (a, b) => b.G / a.G)]), 0.06 * gain[1]);
        Assert.Equal(gain[2], Median([.. p.Zip(s, (a, b) => b.B / a.B)]), 0.06 * gain[2]);
        Assert.Equal(1, set.Pairs.Average(x => x.Weight), 1e-9);
    }

    // The wallpaper behind the aloe repeats, and the secondary does not see all of what the primary sees: what lies beyond
    // its frame must not be taken for the next repeat, a few hundred pixels away. Source: the measured disparities
    // aloeGT.png of the primary (D. Scharstein and C. Pal, CVPR 2007; Middlebury stereo data 2006), which are 0 where
    // nothing was measured.
    [Fact]
    public void Sample_PatternThatRepeatsBeyondTheFrame_IsNotTakenForTheNextRepeat()
    {
        const int left = 350, top = 195;
        Picture primary = Part(TestPictures.OpenCvExample("aloeL.jpg"), 125, 244, 1067, 600);
        Picture secondary = Part(TestPictures.OpenCvExample("aloeR.jpg"), left, top, 540, 720), disparity = TestPictures.OpenCvExample("aloeGT.png");
        SampleSet set = OverlapSampler.Sample(primary, secondary, cancel: TestContext.Current.CancellationToken);
        Assert.Null(set.Refusal);
        double[] errors = [.. set.Pairs
            .Select(p => (From: p.Origin!.Primary.In(primary), To: p.Origin.Secondary.In(secondary)))
            .Select(p => (Measured: 255 * disparity[125 + (int)p.From.X, 244 + (int)p.From.Y].G, Found: p.From.X + 125 - p.To.X - left))
            .Where(d => d.Measured > 0)
            .Select(d => Math.Abs(d.Found - d.Measured))];
        Assert.True(errors.Length > 60, $"{errors.Length} pairs");
        Assert.True(errors.Count(e => e > 100) <= 0.005 * errors.Length, $"{errors.Count(e => e > 100)} of {errors.Length} are of another repeat");
    }

    // Normal noise of known size on still pictures. The mean over n pixels without the fifth at each end scatters by
    // 1.07/sqrt(n) of it (40,000 samples of 85 drawn and trimmed with NumPy); the difference of two by sqrt 2 more.
    [Fact]
    public void Sample_StillFramesWithKnownNoise_GivesItsNoiseFloor()
    {
        const double sigma = 8.0 / 255;
        Random random = new(5);
        Picture a = TestPictures.OpenCvExample("rubberwhale1.png"), b = TestPictures.OpenCvExample("rubberwhale2.png");
        SampleSet set = OverlapSampler.Sample(
            [.. Enumerable.Range(0, 3).Select(i => new OverlapFrame(Noisy(a, sigma, random), Noisy(b, sigma, random), i, i))], TestContext.Current.CancellationToken);
        List<double> expected = [];
        foreach (SamplePair p in set.Pairs)
        {
            foreach ((CodeRgb c, PictureBox at) in ((CodeRgb, PictureBox)[])[(p.Primary, p.Origin!.Primary.In(a)), (p.Secondary, p.Origin.Secondary.In(b))])
            {
                double scatter = Math.Sqrt(2) * 1.07 * sigma / Math.Sqrt(at.Width * at.Height);
                CodeRgb again = new(c.R + (scatter * Normal(random)), c.G + (scatter * Normal(random)), c.B + (scatter * Normal(random)));
                expected.Add(DeltaE2000.Between(SignalEncoding.Srgb.ToLab(c), SignalEncoding.Srgb.ToLab(again)));
            }
        }

        double floor = Median([.. expected]);
        Assert.Equal(floor, set.NoiseFloorDeltaE!.Value, 0.15 * floor);
    }

    // Four still pairs of frames: the first and the last are always searched, one between them only when it tells more.
    [Theory]
    [InlineData("the same again", false)]
    [InlineData("a third less light in both", true)]
    [InlineData("a new colour in the secondary", true)]
    [InlineData("the primary turned aside", true)]
    public void Sample_StillFrames_SearchesAFrameAgainOnlyWhereItTellsMore(string second, bool isSearched)
    {
        Picture whole = TestPictures.OpenCvExample("rubberwhale1.png"), b = TestPictures.OpenCvExample("rubberwhale2.png");
        Picture a = Part(whole, 0, 0, whole.Width - 24, whole.Height);
        Picture other = second switch
        {
            "a third less light in both" => Close(b, 1, [0.67, 0.67, 0.67]),
            "a new colour in the secondary" => Painted(b, 60, 60),
            _ => b,
        };
        Picture primary = second switch
        {
            "a third less light in both" => Close(a, 1, [0.67, 0.67, 0.67]),
            "the primary turned aside" => Part(whole, 24, 0, a.Width, a.Height),
            _ => a,
        };
        SampleSet set = OverlapSampler.Sample(
            [new(a, b, 0, 0), new(primary, other, 1, 1), new(a, b, 2, 2), new(a, b, 3, 3)], TestContext.Current.CancellationToken);
        double[] searched = [.. set.Pairs.Select(p => p.Origin!.PrimarySeconds).Distinct().Order()];
        Assert.Equal(isSearched ? [0, 1, 3] : [0, 3], searched);
    }

    [Fact]
    public void Sample_OneChurchByDayAndByNight_IsRefused()
    {
        SampleSet set = OverlapSampler.Sample(TestPictures.Shared("church-day.jpg"), TestPictures.Shared("church-night.jpg"), cancel: TestContext.Current.CancellationToken);
        Assert.Empty(set.Pairs);
        Assert.Contains("no objects in common", set.Refusal, StringComparison.Ordinal);
    }

    [Fact]
    public void Sample_UnrelatedPictures_IsRefusedAndSaysWhatToDo()
    {
        SampleSet set = OverlapSampler.Sample(TestPictures.OpenCvExample("fruits.jpg"), TestPictures.Shared("fence-left.png"), cancel: TestContext.Current.CancellationToken);
        Assert.Empty(set.Pairs);
        Assert.Contains("no objects in common", set.Refusal, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(0f)]
    [InlineData(0.5f)]
    public void Sample_BlackFramesOrAPlainWall_IsRefused(float value)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        float[] plane = new float[320 * 240];
        Array.Fill(plane, value);
        Picture wall = new(320, 240, plane, plane, plane, SignalEncoding.Bt709);
        SampleSet set = OverlapSampler.Sample(wall, wall, cancel: TestContext.Current.CancellationToken);
        Assert.Empty(set.Pairs);
        Assert.NotNull(set.Refusal);
    }

    private static Picture Part(Picture p, int left, int top, int width, int height)
    {
        float[] Of(ReadOnlySpan<float> plane)
        {
            float[] part = new float[width * height];
            for (int y = 0; y < height; y++)
            {
                plane.Slice(((top + y) * p.Width) + left, width).CopyTo(part.AsSpan(y * width));
            }

            return part;
        }

        return new Picture(width, height, Of(p.R), Of(p.G), Of(p.B), p.Encoding);
    }

    // A square of pure blue at the left top.
    private static Picture Painted(Picture p, int width, int height)
    {
        float[] r = [.. p.R], g = [.. p.G], b = [.. p.B];
        for (int y = 0; y < height; y++)
        {
            for (int i = y * p.Width; i < (y * p.Width) + width; i++)
            {
                (r[i], g[i], b[i]) = (0.05f, 0.1f, 0.9f);
            }
        }

        return new Picture(p.Width, p.Height, r, g, b, p.Encoding);
    }

    private static Picture Noisy(Picture p, double sigma, Random random)
    {
        float[][] planes = [[.. p.R], [.. p.G], [.. p.B]];
        foreach (float[] plane in planes)
        {
            for (int i = 0; i < plane.Length; i++)
            {
                plane[i] = (float)(plane[i] + (sigma * Normal(random)));
            }
        }

        return new Picture(p.Width, p.Height, planes[0], planes[1], planes[2], p.Encoding);
    }

    // G. Box and M. Muller, 'A note on the generation of random normal deviates', 1958.
    private static double Normal(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    private static double Median(double[] values)
    {
        Array.Sort(values);
        return values[values.Length / 2];
    }

    // The middle, enlarged without smoothing, with factors on light, rounded to 8 bits.
    private static Picture Close(Picture p, int zoom, double[] gain)
    {
        int left = (p.Width - (p.Width / zoom)) / 2, top = (p.Height - (p.Height / zoom)) / 2;
        float[][] planes = [.. gain.Select(_ => new float[p.Width * p.Height])];
        for (int y = 0; y < p.Height; y++)
        {
            for (int x = 0; x < p.Width; x++)
            {
                SceneRgb l = SignalEncoding.Srgb.ToScene(p[left + (x / zoom), top + (y / zoom)]);
                CodeRgb c = SignalEncoding.Srgb.FromScene(new SceneRgb(gain[0] * l.R, gain[1] * l.G, gain[2] * l.B));
                int i = (y * p.Width) + x;
                (planes[0][i], planes[1][i], planes[2][i]) = (Round(c.R), Round(c.G), Round(c.B));
            }
        }

        return new Picture(p.Width, p.Height, planes[0], planes[1], planes[2], p.Encoding);
    }

    private static float Round(double v) => (float)(Math.Round(v * 255) / 255);
}
