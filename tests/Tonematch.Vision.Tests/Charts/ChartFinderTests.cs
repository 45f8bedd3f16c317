using Tonematch.Charts;
using Tonematch.Pictures;
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

    [Theory]
    [InlineData("church-night.jpg")]
    [InlineData("fence-left.png")]
    public void Find_APhotographWithoutAChart_FindsNone(string name) =>
        Assert.IsType<ChartNotFound>(ChartFinder.Find(TestPictures.Shared(name), ChartReference.Chart24, TestContext.Current.CancellationToken));
}
