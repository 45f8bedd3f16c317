using System.Collections.Immutable;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class RegionsFileTests
{
    [Fact]
    public void Parse_BoxAndPolygon_GivesTheirCornersInSharesOrPixels()
    {
        ImmutableArray<RegionPair> regions = RegionsFile.Parse(
            """
            [
              {"name": "apron", "primary": {"x": 0.25, "y": 0.5, "width": 0.125, "height": 0.25},
               "secondary": {"polygon": [[100, 200], [140, 200], [120, 260.5]]}, "at": 12.48}
            ]
            """,
            "regions.json");
        RegionPair apron = Assert.Single(regions);
        Assert.Equal("apron", apron.Name);
        Assert.Equal(12.48, apron.AtSeconds);
        Assert.Equal([new(480, 540), new(720, 540), new(720, 810), new(480, 810)], apron.Primary.In(1920, 1080));
        Assert.True(apron.Secondary.InPixels);
        Assert.Equal(new PicturePoint(120, 260.5), apron.Secondary.In(640, 360)[2]);
    }

    [Theory]
    [InlineData("[\n{\"name\": \"a\",\n]", "regions.json line 3")]
    [InlineData("{}", "not a list")]
    [InlineData("[]", "0 regions")]
    [InlineData("[3]", "region 1 is not an object")]
    [InlineData("""[{"name": "a\u0007b", "primary": {}}]""", "cannot be printed")]
    [InlineData("""[{"primary": {}}]""", "no 'name'")]
    [InlineData("""[{"name": "a"}]""", "('a') has no 'primary'")]
    [InlineData("""[{"name": "a", "primary": {"x": 0, "y": 0, "width": 1}}]""", "no 'height'")]
    [InlineData("""[{"name": "a", "primary": {"x": 0, "y": 0, "width": 0, "height": 1}}]""", "above 0")]
    [InlineData("""[{"name": "a", "primary": {"x": -1, "y": 0, "width": 1, "height": 1}}]""", "0 or more")]
    [InlineData("""[{"name": "a", "primary": {"x": "1", "y": 0, "width": 1, "height": 1}}]""", "'x' is not a number")]
    [InlineData("""[{"name": "a", "primary": {"x": 1e999, "y": 0, "width": 1, "height": 1}}]""", "'x' is not a number")]
    [InlineData("""[{"name": "a", "primary": {"polygon": [[0, 0], [1, 1]]}}]""", "3 to 1000 corners")]
    [InlineData("""[{"name": "a", "primary": {"polygon": [[0, 0], [1, 1], [1]]}}]""", "a corner of a polygon is [x, y]")]
    [InlineData("""[{"name": "a", "colour": 1}]""", "'colour', which is not known")]
    [InlineData("""[{"name": "a", "name": "b"}]""", "'name' twice")]
    [InlineData("""[{"name": "\ud800"}]""", "characters that are not text")]
    public void Parse_EachFault_IsRefusedWithItsPlace(string json, string said)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => RegionsFile.Parse(json, "regions.json"));
        Assert.Contains(said, e.Message, StringComparison.Ordinal);
        Assert.StartsWith("regions.json", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_TheSameNameTwiceForOneInstant_IsRefused()
    {
        const string box = """{"x": 0, "y": 0, "width": 1, "height": 1}""";
        string region = $$"""{"name": "a", "primary": {{box}}, "secondary": {{box}} }""";
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => RegionsFile.Parse($"[{region}, {region}]", "r.json"));
        Assert.Contains("region 2", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_TextTooLong_IsRefusedBeforeParsing()
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => RegionsFile.Parse(new string(' ', RegionsFile.LargestLength + 1), "r.json"));
        Assert.Contains("longer than", e.Message, StringComparison.Ordinal);
    }
}
