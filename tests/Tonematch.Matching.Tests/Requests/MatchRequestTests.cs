using Tonematch.Matching.Requests;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Requests;

public class MatchRequestTests
{
    [Fact]
    public void ForPicturesScaled_PixelsMoveAlong_SharesStay()
    {
        MatchRequest request = new MatchRequest("a", "b")
        {
            Regions = [RegionPair.Parse("apron=100,200,40,60:0.1,0.2,0.3,0.4")],
            SecondaryChartCorners = [new(10, 20), new(30, 20), new(30, 40), new(10, 40)],
        }.ForPicturesScaled(0.5, 0.25);
        Assert.Equal(new PicturePoint(50, 100), request.Regions[0].Primary.Corners[0]);
        Assert.Equal(new PicturePoint(0.1, 0.2), request.Regions[0].Secondary.Corners[0]);
        Assert.Equal(new PicturePoint(2.5, 5), request.SecondaryChartCorners!.Value[0]);
        Assert.Null(request.PrimaryChartCorners);
    }
}
