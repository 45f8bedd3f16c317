using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class OverallSamplerTests
{
    private static Picture Scene(int seed, Func<CodeRgb, CodeRgb> camera)
    {
        Random random = new(seed);
        return DrawnPicture.Of(240, 160, (_, _) =>
        {
            double light = 0.2 + (0.5 * random.NextDouble()), a = 0.15 * random.NextDouble(), b = 0.1 * random.NextDouble();
            return camera(new CodeRgb(light + a, light, light - b));
        });
    }

    // Property of the Monge-Kantorovich map (Pitié and Kokaram 2007): between two pictures of which one is an affine,
    // symmetric and positive map of the other, it is that map.
    [Fact]
    public void Sample_AGainPerChannel_IsFoundInEveryPair()
    {
        SampleSet set = OverallSampler.Sample(
            [Scene(1, c => new CodeRgb((1.1 * c.R) - 0.02, 0.9 * c.G, (0.8 * c.B) + 0.05))], [Scene(1, c => c)]);
        Assert.Equal(7, set.Pairs.Length);
        foreach (SamplePair pair in set.Pairs)
        {
            Assert.Equal((1.1 * pair.Secondary.R) - 0.02, pair.Primary.R, 1e-4);
            Assert.Equal(0.9 * pair.Secondary.G, pair.Primary.G, 1e-4);
            Assert.Equal((0.8 * pair.Secondary.B) + 0.05, pair.Primary.B, 1e-4);
        }
    }

    [Fact]
    public void Sample_AnyPictures_AlwaysSaysThatConfidenceIsLow()
    {
        SampleSet set = OverallSampler.Sample([Scene(1, c => c)], [Scene(2, c => c)]);
        Assert.Contains(OverallSampler.LowConfidence, set.Warnings);
        Assert.Null(set.Refusal);
    }

    [Theory]
    [InlineData(0.0)]
    [InlineData(0.5)]
    [InlineData(1.0)]
    public void Sample_BlackPlainOrWhite_IsRefused(double value)
    {
        Picture plain = DrawnPicture.Of(100, 100, (_, _) => CodeRgb.Grey(value));
        SampleSet set = OverallSampler.Sample([Scene(1, c => c)], [plain]);
        Assert.Empty(set.Pairs);
        Assert.Contains("Camera B", set.Refusal, StringComparison.Ordinal);
    }
}
