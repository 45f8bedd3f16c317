using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Requests;

public class MatchRequestTests
{
    [Fact]
    public void InShares_PixelsBecomeSharesOfTheirClip_SharesStay()
    {
        ClipInfo primary = MadeClip.Of("a", 200, 400), secondary = MadeClip.Of("b", 100, 80);
        MatchRequest request = new MatchRequest("a", "b")
        {
            Regions = [RegionPair.Parse("apron=100,200,40,60:0.1,0.2,0.3,0.4")],
        } with
        {
            Secondary = new("b") { ChartCorners = new([new(10, 20), new(30, 20), new(30, 40), new(10, 40)]) },
        };
        request = request.InShares(primary, secondary);
        Assert.Equal(new PicturePoint(0.5, 0.5), request.Regions[0].Primary.Corners[0]);
        Assert.Equal(new PicturePoint(0.1, 0.2), request.Regions[0].Secondary.Corners[0]);
        Assert.Equal(new PicturePoint(0.1, 0.25), request.Secondary.ChartCorners!.Corners[0]);
        Assert.Null(request.Primary.ChartCorners);
    }
}
