using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class RegionPairTests
{
    [Fact]
    public void Parse_TwoBoxesAndAnInstant_GivesBoth()
    {
        RegionPair r = RegionPair.Parse("grey card@12.48=0.5,0.25,0.1,0.2:300,200,50,40");
        Assert.Equal("grey card", r.Name);
        Assert.Equal(12.48, r.AtSeconds);
        Assert.Equal(new PicturePoint(50, 25), r.Primary.In(100, 100)[0]);
        Assert.Equal(new PicturePoint(350, 240), r.Secondary.In(100, 100)[2]);
    }

    [Fact]
    public void Parse_OneBox_HoldsForBothPictures()
    {
        RegionPair r = RegionPair.Parse("wall=0.1,0.1,0.2,0.2");
        Assert.Equal(r.Primary, r.Secondary);
        Assert.Null(r.AtSeconds);
    }

    [Theory]
    [InlineData("0.1,0.1,0.2,0.2", "no name")]
    [InlineData("=0.1,0.1,0.2,0.2", "no name")]
    [InlineData("a=1,2,3", "not four numbers")]
    [InlineData("a=1,2,3,x", "'x' is not a number")]
    [InlineData("a=1,2,0,4", "width and height above 0")]
    [InlineData("a=1,2,3,4:1,2,3,4:1,2,3,4", "more than two boxes")]
    [InlineData("a@noon=1,2,3,4", "not a time")]
    [InlineData("a=1,2,NaN,4", "'NaN' is not a number")]
    [InlineData("a\u001b[31m=1,2,3,4", "cannot be printed")]
    [InlineData("a\nb=1,2,3,4", "cannot be printed")]
    public void Parse_EachFault_IsSaid(string text, string said)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => RegionPair.Parse(text));
        Assert.Contains(said, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Parse_ANameOfThousandsOfCharacters_IsRefusedInAShortSentence()
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => RegionPair.Parse($"{new string('a', 5000)}=1,2,3,4"));
        Assert.Contains("at most 80", e.Message, StringComparison.Ordinal);
        Assert.InRange(e.Message.Length, 1, 600);
    }
}
