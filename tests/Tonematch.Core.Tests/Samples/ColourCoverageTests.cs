using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class ColourCoverageTests
{
    // Source: the names printed with the 24-patch chart (McCamy, Marcus and Davidson 1976); its hue words must return.
    [Fact]
    public void Of_ThePatchesOfTheChart_GivesTheHueOfTheirPrintedNames()
    {
        (int Patch, string Word)[] printed =
        [
            (0, "skin"), (1, "skin"), (2, "blue"), (4, "blue"), (5, "bluish green"), (6, "orange"), (7, "blue"), (8, "red"),
            (9, "purple"), (10, "yellow green"), (11, "orange yellow"), (12, "blue"), (13, "green"), (14, "red"), (15, "yellow"),
            (16, "magenta"), (17, "cyan"), (18, "white"), (19, "grey"), (21, "grey"), (23, "grey"),
        ];
        foreach ((int patch, string word) in printed)
        {
            Assert.Contains(word, PlainColourNames.Of(ChartReference.Chart24.LabOf(patch)), StringComparison.Ordinal);
        }
    }

    [Theory]
    [InlineData(28, 15, -50, "deep blue")]
    [InlineData(75, 12, 18, "light skin or sand")]
    [InlineData(32, 10, 14, "dark skin or wood")]
    [InlineData(3, 1, 0, "black")]
    [InlineData(35, 22, 40, "brown")]
    [InlineData(60, -5, -9, "greyish blue")]
    [InlineData(50, 1, 1, "grey")]
    [InlineData(95, 0, 0, "white")]
    [InlineData(50, 55, 35, "red")]
    [InlineData(80, -5, 70, "yellow")]
    public void Of_AColour_IsNamedInPlainWords(double l, double a, double b, string name) =>
        Assert.Equal(name, PlainColourNames.Of(new Lab(l, a, b)));

    [Fact]
    public void Of_EveryColourOfTheSolid_HasAName()
    {
        for (double l = 0; l <= 100; l += 5)
        {
            for (double a = -120; a <= 120; a += 12)
            {
                for (double b = -120; b <= 120; b += 12)
                {
                    Assert.False(string.IsNullOrWhiteSpace(PlainColourNames.Of(new Lab(l, a, b))));
                }
            }
        }
    }

    [Fact]
    public void Of_AQuarterOfThePictureDeepBlueWithoutASample_IsNamedWithItsShareAndSwatch()
    {
        CodeRgb blue = new(0.1, 0.15, 0.45), skin = SignalEncoding.Srgb.FromLab(new Lab(70, 14, 18));
        Picture picture = DrawnPicture.Of(200, 100, (x, _) => x < 50 ? blue : skin);
        SampleSet set = new(SignalEncoding.Srgb, SignalEncoding.Srgb, SamplingMethod.Overlap, [new SamplePair("a", "a", skin, skin)]);
        ColourCoverage coverage = ColourCoverage.Of(set, [picture]);
        Assert.Equal(0.75, coverage.Share, 0.01);
        UncoveredColour u = Assert.Single(coverage.Uncovered);
        Assert.Equal("deep blue", u.Name);
        Assert.Equal(0.25, u.Share, 0.01);
        Assert.Equal(blue.B, u.Swatch.B, 1e-3);
        Assert.Contains("deep blue (25 %)", coverage.Warning, StringComparison.Ordinal);
    }

    [Fact]
    public void Of_EverythingSampled_HasNoWarning()
    {
        Picture picture = DrawnPicture.Of(40, 40, (x, _) => CodeRgb.Grey(x < 20 ? 0.3 : 0.6));
        SampleSet set = new(SignalEncoding.Srgb, SignalEncoding.Srgb, SamplingMethod.Overlap, [
            new SamplePair("a", "a", CodeRgb.Grey(0.3), CodeRgb.Grey(0.31)), new SamplePair("b", "b", CodeRgb.Grey(0.6), CodeRgb.Grey(0.6))]);
        ColourCoverage coverage = ColourCoverage.Of(set, [picture]);
        Assert.Equal(1, coverage.Share);
        Assert.Null(coverage.Warning);
    }
}
