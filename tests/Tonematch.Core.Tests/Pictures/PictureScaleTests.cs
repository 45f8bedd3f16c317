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
