using System.Numerics;
using MathNet.Numerics.IntegralTransforms;
using Tonematch.Numerics;
using Xunit;

namespace Tonematch.Core.Tests.Numerics;

public class FourierTransformTests
{
    // Single precision: about 1e-7 a level, relative to the largest value of the spectrum.
    private const double SinglePrecision = 2e-6;

    public static TheoryData<int> Sizes() => [.. Enumerable.Range(1, 16).Select(k => 1 << k)];

    // Independent reference: MathNet.Numerics 5.0.0, Fourier.Forward in double precision, no scaling.
    [Theory]
    [MemberData(nameof(Sizes))]
    public void Forward_RandomPoints_EqualsMathNet(int size)
    {
        (float[] re, float[] im) = RandomPoints(size);
        Complex[] expected = [.. re.Zip(im, (r, i) => new Complex(r, i))];
        Fourier.Forward(expected, FourierOptions.NoScaling);
        FourierTransform transform = FourierTransform.OfSize(size);
        transform.Forward(re, im);
        double largest = expected.Max(c => c.Magnitude);
        for (int bin = 0; bin < size; bin++)
        {
            int p = transform.PositionOf(bin);
            Assert.True((expected[bin] - new Complex(re[p], im[p])).Magnitude <= SinglePrecision * largest, $"bin {bin} of {size}");
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void InverseUnscaled_OfASpectrum_GivesTheFirstPointsTimesSize(int size)
    {
        (float[] re, float[] im) = RandomPoints(size);
        (float[] re2, float[] im2) = ([.. re], [.. im]);
        FourierTransform transform = FourierTransform.OfSize(size);
        transform.Forward(re2, im2);
        transform.InverseUnscaled(re2, im2);
        for (int k = 0; k < size; k++)
        {
            Assert.Equal(re[k], re2[k] / size, SinglePrecision * 2);
            Assert.Equal(im[k], im2[k] / size, SinglePrecision * 2);
        }
    }

    // Real points, so the spectrum is Hermitian; reference: the points themselves.
    [Theory]
    [MemberData(nameof(Sizes))]
    public void InverseRealUnscaled_OfTheSpectrumOfRealPoints_GivesThemTimesSize(int size)
    {
        (float[] points, _) = RandomPoints(size);
        (float[] re, float[] im) = ([.. points], new float[size]);
        FourierTransform transform = FourierTransform.OfSize(size);
        transform.Forward(re, im);
        transform.InverseRealUnscaled(re, im);
        for (int k = 0; k < size; k++)
        {
            Assert.Equal(points[k], (k % 2 == 0 ? re : im)[k / 2] / size, SinglePrecision * 2);
        }
    }

    [Theory]
    [MemberData(nameof(Sizes))]
    public void MirrorOf_EveryPosition_IsThePositionOfTheNegativeFrequency(int size)
    {
        FourierTransform transform = FourierTransform.OfSize(size);
        for (int bin = 0; bin < size; bin++)
        {
            Assert.Equal(transform.PositionOf((size - bin) % size), FourierTransform.MirrorOf(transform.PositionOf(bin)));
        }
    }

    [Theory]
    [InlineData(0)]
    [InlineData(1)]
    [InlineData(48)]
    public void OfSize_NotAPowerOfTwo_IsRefused(int size) =>
        Assert.Throws<ArgumentOutOfRangeException>(() => FourierTransform.OfSize(size));

    private static (float[] Re, float[] Im) RandomPoints(int size)
    {
        Random random = new(size);
        float[] Draw() => [.. Enumerable.Range(0, size).Select(_ => (random.NextSingle() * 2) - 1)];
        return (Draw(), Draw());
    }
}
