using CsCheck;
using OpenCvSharp;
using Tonematch.Vision.Overlap;
using Xunit;

namespace Tonematch.Vision.Tests.Overlap;

/// <summary>Against OpenCV's brute-force matcher, an independent program.</summary>
public class MutualNearestTests
{
    private const double Ratio = 0.8;

    // Odd counts leave rows and columns over at the edge of what is multiplied together; 100 values are no whole number
    // of vectors on most processors.
    [Theory]
    [InlineData(128)]
    [InlineData(100)]
    public void Of_RandomDescriptors_AreThePairsThatOpenCvFinds(int length)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        Gen.Select(Gen.Int[2, 70], Gen.Int[2, 150], Gen.Int[0, 1_000_000]).Sample(
            (n, m, seed) =>
            {
                Random random = new(seed);
                float[] second = Unit(random, m, length), first = Unit(random, n, length);

                // Half of the first are blurred copies of the second: these are found again.
                for (int i = 0; i < n / 2 && i < m; i++)
                {
                    Copy(second, m - 1 - i, first, i, length, random);
                }

                Assert.Equal(ByOpenCv(first, second, length), MutualNearest.Of(first, second, length, Ratio).Order());
            },
            iter: 30);
    }

    private static List<(int First, int Second)> ByOpenCv(float[] first, float[] second, int length)
    {
        using Mat a = Mat.FromPixelData(first.Length / length, length, MatType.CV_32F, first), b = Mat.FromPixelData(second.Length / length, length, MatType.CV_32F, second);
        using BFMatcher matcher = new(NormTypes.L2);
        int[] back = [.. matcher.KnnMatch(b, a, 1).Select(k => k[0].TrainIdx)];
        return [.. matcher.KnnMatch(a, b, 2).Where(k => back[k[0].TrainIdx] == k[0].QueryIdx && k[0].Distance <= Ratio * k[1].Distance).Select(k => (k[0].QueryIdx, k[0].TrainIdx)).Order()];
    }

    private static float[] Unit(Random random, int count, int length)
    {
        float[] all = [.. Enumerable.Range(0, count * length).Select(_ => random.NextSingle())];
        for (int i = 0; i < count; i++)
        {
            Normalise(all.AsSpan(i * length, length));
        }

        return all;
    }

    private static void Copy(float[] from, int at, float[] to, int i, int length, Random random)
    {
        Span<float> row = to.AsSpan(i * length, length);
        for (int k = 0; k < length; k++)
        {
            row[k] = from[(at * length) + k] + (0.03f * random.NextSingle());
        }

        Normalise(row);
    }

    private static void Normalise(Span<float> row)
    {
        float sum = 0;
        foreach (float v in row)
        {
            sum += v * v;
        }

        for (int k = 0; k < row.Length; k++)
        {
            row[k] /= MathF.Sqrt(sum);
        }
    }
}
