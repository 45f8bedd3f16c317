using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class RegionSamplerTests
{
    private static readonly RegionPair s_middle = RegionPair.Parse("middle=0.25,0.25,0.5,0.5");

    [Fact]
    public void Sample_APlainRegionWithGlints_GivesThePlainColour()
    {
        // One pixel in ten is a glint that a plain mean would follow.
        Picture primary = DrawnPicture.Of(64, 48, (x, y) => (x + (3 * y)) % 10 == 0 ? CodeRgb.Grey(0.9) : new CodeRgb(0.3, 0.4, 0.5));
        Picture secondary = DrawnPicture.Of(32, 24, (x, y) => new CodeRgb(0.2, 0.4, 0.6));
        SamplePair pair = Assert.Single(RegionSampler.Sample(primary, secondary, [s_middle], 12.48, 13.5).Pairs);
        Assert.Equal(0.3, pair.Primary.R, 1e-6);
        Assert.Equal(0.4, pair.Primary.G, 1e-6);
        Assert.Equal(0.6, pair.Secondary.B, 1e-6);
        Assert.Equal("middle@12.480", pair.Id);
        Assert.Equal("middle", pair.Group);
        Assert.Equal(new SamplePlace(0.5, 0.5, 0.5, 0.5), pair.Origin!.Primary);
    }

    // Against the definition of the normal distribution: the spread of noise is its standard deviation.
    [Fact]
    public void Sample_NormalNoise_HasItsStandardDeviationAsSpread()
    {
        Random random = new(7);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        Picture noisy = DrawnPicture.Of(200, 200, (x, y) => new CodeRgb(0.5 + (0.02 * Normal()), 0.5, 0.5));
        SamplePair pair = Assert.Single(RegionSampler.Sample(noisy, noisy, [s_middle]).Pairs);
        Assert.Equal(0.02, pair.PrimarySpread.R, 0.001);
        Assert.Equal(0, pair.PrimarySpread.G, 1e-6);
    }

    [Fact]
    public void Sample_ClippedOutsideAndTiny_AreCountedByReason()
    {
        Picture primary = DrawnPicture.Of(100, 100, (x, y) => CodeRgb.Grey(x < 50 ? 0.5 : 1));
        SampleSet set = RegionSampler.Sample(primary, primary, [
            RegionPair.Parse("good=5,5,20,20"),
            RegionPair.Parse("sky=60,5,20,20"),
            RegionPair.Parse("gone=500,5,20,20"),
            RegionPair.Parse("dot=5,5,3,3")]);
        Assert.Equal("good", Assert.Single(set.Pairs).Label);
        Assert.Equal(1, set.Rejected["clipped"]);
        Assert.Equal(1, set.Rejected["outside"]);
        Assert.Equal(1, set.Rejected["too small"]);
        Assert.Equal(3, set.Warnings.Length);
    }

    [Fact]
    public void Sample_ARegionOfAnotherInstant_IsPassedOver()
    {
        Picture grey = DrawnPicture.Of(64, 64, (_, _) => CodeRgb.Grey(0.5));
        Assert.Empty(RegionSampler.Sample(grey, grey, [s_middle with { AtSeconds = 3 }], 2).Pairs);
        Assert.Single(RegionSampler.Sample(grey, grey, [s_middle with { AtSeconds = 2.02 }], 2).Pairs);
    }

    [Fact]
    public void Measure_ATriangle_CountsHalfOfItsBox()
    {
        Picture grey = DrawnPicture.Of(100, 100, (_, _) => CodeRgb.Grey(0.5));
        ColourStatistics s = PolygonSampler.Measure(grey, [new(0, 0), new(100, 0), new(0, 100)])!.Value;
        Assert.InRange(s.PixelCount, 4900, 5100);
    }
}
