using Tonematch.Colour;
using Tonematch.Core.Tests.Samples;
using Tonematch.Pictures;
using Xunit;

namespace Tonematch.Core.Tests.Pictures;

public class PictureScaleTests
{
    [Fact]
    public void ToSmall_WholeFactor_IsTheMeanOfEachBlock()
    {
        Picture big = DrawnPicture.Of(8, 4, (x, y) => new CodeRgb(x / 8.0, y / 4.0, (x + y) / 16.0));
        Picture small = PictureScale.ToSmall(big, 4);
        Assert.Equal((4, 2), (small.Width, small.Height));
        Assert.Equal(2.5 / 8, small[1, 0].R, 1e-6);
        Assert.Equal(2.5 / 4, small[3, 1].G, 1e-6);
    }

    [Theory]
    [InlineData(101, 67, 40)]
    [InlineData(640, 3, 33)]
    [InlineData(5, 900, 7)]
    public void ToSmall_AnyFactor_KeepsTheMeanOfTheWholePicture(int width, int height, int side)
    {
        Random random = new(3);
        Picture big = DrawnPicture.Of(width, height, (_, _) => CodeRgb.Grey(random.NextDouble()));
        Picture small = PictureScale.ToSmall(big, side);
        Assert.Equal(side, Math.Max(small.Width, small.Height));
        Assert.Equal(Mean(big), Mean(small), 1e-5);
    }

    // Area averaging by its definition, pixel by pixel in double precision: 7 to 3 and 5 to 2 share pixels between two.
    [Fact]
    public void ToSmall_SharedPixels_CountByTheirShare()
    {
        Random random = new(11);
        Picture big = DrawnPicture.Of(7, 5, (_, _) => CodeRgb.Grey(random.NextDouble()));
        Picture small = PictureScale.ToSmall(big, 3);
        Assert.Equal((3, 2), (small.Width, small.Height));
        for (int y = 0; y < 2; y++)
        {
            for (int x = 0; x < 3; x++)
            {
                double sum = 0;
                for (int k = 0; k < 35; k++)
                {
                    sum += Shared(k % 7, x * 7 / 3.0, (x + 1) * 7 / 3.0) * Shared(k / 7, y * 5 / 2.0, (y + 1) * 5 / 2.0) * big.R[k];
                }

                Assert.Equal(sum / (7 / 3.0 * 5 / 2.0), small[x, y].R, 1e-6);
            }
        }

        static double Shared(int i, double from, double to) => Math.Max(0, Math.Min(i + 1, to) - Math.Max(i, from));
    }

    [Fact]
    public void PlaneShrinker_RowsMissingOrTooMany_Throws()
    {
        PlaneShrinker shrinker = new(4, 3, 2, 2);
        Assert.Throws<ArgumentException>(() => shrinker.Add(new float[3]));
        shrinker.Add(new float[4]);
        shrinker.Add(new float[4]);
        Assert.Throws<InvalidOperationException>(() => shrinker.Small);
        shrinker.Add(new float[4]);
        Assert.Equal(4, shrinker.Small.Length);
        Assert.Throws<InvalidOperationException>(() => shrinker.Add(new float[4]));
        Assert.Throws<ArgumentOutOfRangeException>(() => new PlaneShrinker(4, 3, 5, 2));
    }

    [Fact]
    public void ToSmall_SmallAlready_IsTheSamePicture()
    {
        Picture p = DrawnPicture.Of(10, 10, (_, _) => CodeRgb.Grey(0.5));
        Assert.Same(p, PictureScale.ToSmall(p, 10));
    }

    private static double Mean(Picture p)
    {
        double sum = 0;
        foreach (float v in p.R)
        {
            sum += v;
        }

        return sum / p.R.Length;
    }
}
