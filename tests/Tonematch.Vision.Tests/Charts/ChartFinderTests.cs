using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Vision.Charts;
using Xunit;

namespace Tonematch.Vision.Tests.Charts;

public class ChartFinderTests
{
    // Source: corners checked by eye on the photographs at five times their size, as the chart is read (top left, top right, bottom
    // right, bottom left of the patches); good to about 5 pixels.
    [Theory]
    [InlineData("chart-daylight-carpet.jpg", 423, 1426, 392, 321, 1107, 279, 1174, 1396)]
    [InlineData("chart-in-hand.jpg", 237, 281, 531, 282, 539, 464, 237, 476)]
    [InlineData("chart-office-glare.jpg", 1258, 532, 1296, 1650, 436, 1604, 618, 286)]
    [InlineData("chart-rotated-small.png", 251, 32, 247, 354, 46, 353, 34, 36)]
    public void Find_APhotographOfTheKnownChart_FindsItsCornersAndColours(string name, params int[] corners)
    {
        ChartFound found = Assert.IsType<ChartFound>(ChartFinder.Find(TestPictures.Shared(name), ChartReference.Chart24, TestContext.Current.CancellationToken));
        for (int i = 0; i < 4; i++)
        {
            PicturePoint c = found.Chart.Geometry.Corners[i];
            Assert.InRange(Math.Abs(c.X - corners[2 * i]) + Math.Abs(c.Y - corners[(2 * i) + 1]), 0, 14);
        }

        Assert.True(found.Match.HasKnownColours);
    }

    [Fact]
    public void Find_AChartOfAnotherMaker_IsFoundButNotTakenForTheKnownOne()
    {
        ChartFound found = Assert.IsType<ChartFound>(ChartFinder.Find(TestPictures.Shared("chart-other-maker.jpg"), ChartReference.Chart24, TestContext.Current.CancellationToken));
        Assert.True(found.Match.IsThisKind);
        Assert.False(found.Match.HasKnownColours);
    }

    [Fact]
    public void Find_AChartHalfHiddenByALeaf_IsUsedInPart()
    {
        ChartFound found = Assert.IsType<ChartFound>(ChartFinder.Find(TestPictures.Shared("chart-half-hidden.png"), ChartReference.Chart24, TestContext.Current.CancellationToken));

        // Seen by eye: the leaf covers the upper left; the lower three rows of the picture are free: the patches
        // dark grey to black, yellow to cyan, purple to orange yellow, foliage to bluish green.
        int[] free = [3, 4, 5, 9, 10, 11, 15, 16, 17, 21, 22, 23];
        Assert.InRange(found.Match.AgreeingCount, 12, 20);
        Assert.All(free, i => Assert.DoesNotContain(i, found.Match.OutOfLine));
        Assert.Contains(18, found.Match.OutOfLine);
    }

    [Theory]
    [InlineData("church-day.jpg")]
    [InlineData("church-night.jpg")]
    [InlineData("fence-left.png")]
    [InlineData("fence-right.png")]
    public void Find_APhotographWithoutAChart_FindsNone(string name) =>
        Assert.IsType<ChartNotFound>(ChartFinder.Find(TestPictures.Shared(name), ChartReference.Chart24, TestContext.Current.CancellationToken));
}
