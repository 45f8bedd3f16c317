using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Vision;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>Which frames are compared: by hand, of a chart, of good instants; how large; and every way to be refused.</summary>
public class FrameStageTests
{
    private static readonly Picture s_tiles = DrawnScene.Tiles(1), s_tilesB = DrawnScene.Tiles(1, 0.8), s_chart = DrawnScene.Chart(), s_chartB = DrawnScene.Chart(0.8);

    [Fact]
    public async Task Run_TimesByHand_TakesTheseAndLooksForNoChart()
    {
        MadeClipReader reader = new();
        FrameStage.Result result = await RunAsync(reader, _ => s_chart, _ => s_chartB, r => r with { At = ["3", "00:00:05:05"] });
        Assert.Equal([3, 5.2], result.Frames.Select(f => f.Primary.Seconds));
        Assert.Equal([2, 4.2], result.Frames.Select(f => Math.Round(f.Secondary.Seconds, 9)));
        Assert.All(result.Frames, f => Assert.Equal("given by hand", f.Why));
        Assert.Empty(result.Looks);
        Assert.False(result.ChartNotSeen);
    }

    [Fact]
    public async Task Run_TimeByHandOutsideTheOverlap_IsRefusedWithTheOverlap()
    {
        NoTrustworthyResultException e = await Assert.ThrowsAsync<NoTrustworthyResultException>(
            () => RunAsync(new(), _ => s_tiles, _ => s_tilesB, r => r with { At = ["3", "0.5"] }));
        Assert.Equal("At 0.5 s of camera A the two clips do not overlap: they overlap from 1 s to 9.96 s.", e.Message);
    }

    [Fact]
    public async Task Run_TimeByHandThatIsNone_SaysSo()
    {
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(
            () => RunAsync(new(), _ => s_tiles, _ => s_tilesB, r => r with { At = ["half past"] }));
        Assert.Contains("'half past' is not a time", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_ClipsThatDoNotMeet_IsRefusedWithTheOffset()
    {
        NoTrustworthyResultException e = await Assert.ThrowsAsync<NoTrustworthyResultException>(
            () => RunAsync(new(), _ => s_tiles, _ => s_tilesB, r => r, SyncFound.Given(60)));
        Assert.Contains("With an offset of 60 s the two clips do not overlap", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_StillPictures_AreTakenAsTheyAre()
    {
        MadeClipReader reader = new();
        FrameStage.Result result = await RunAsync(reader, _ => s_tiles, _ => s_tilesB, r => r with { At = ["3"] }, sync: null, still: true);
        MatchedFrames only = Assert.Single(result.Frames);
        Assert.Equal("still pictures", only.Why);
        Assert.Equal(["grab a 1", "grab b 1"], reader.Asked.Order());
    }

    [Fact]
    public async Task Run_WithoutTimes_TakesGoodInstantsOfTheOverlapInOrder()
    {
        FrameStage.Result result = await RunAsync(new(), _ => s_tiles, _ => s_tilesB, r => r with { Method = SamplingMethod.Overall });
        Assert.Equal(5, result.Frames.Length);
        Assert.Equal(result.Frames.Select(f => f.Primary.Seconds).Order(), result.Frames.Select(f => f.Primary.Seconds));
        Assert.All(result.Frames, f => Assert.InRange(f.Primary.Seconds, 1, 9.96));
        Assert.All(result.Frames, f => Assert.Equal(f.Primary.Seconds - 1, f.Secondary.Seconds, 0.021));
        Assert.True(result.Looks.Count >= result.Frames.Length);
        Assert.False(result.ChartNotSeen);
    }

    [Fact]
    public async Task Run_BothShowAChartForAWhile_TakesItsInstants()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        FrameStage.Result result = await RunAsync(new(), t => t is >= 4 and < 7 ? s_chart : s_tiles, t => t is >= 3 and < 6 ? s_chartB : s_tilesB, r => r);
        Assert.InRange(result.Frames.Length, 1, 4);
        Assert.All(result.Frames, f => Assert.InRange(f.Primary.Seconds, 4, 7));
        Assert.All(result.Frames, f => Assert.StartsWith("the chart is in both pictures", f.Why, StringComparison.Ordinal));
        Assert.False(result.ChartNotSeen);
    }

    [Fact]
    public async Task Run_OnlyOneShowsTheChart_TakesGoodInstantsAndSaysThatItWasNotSeen()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        FrameStage.Result result = await RunAsync(new(), t => t is >= 4 and < 7 ? s_chart : s_tiles, _ => s_tilesB, r => r);
        Assert.DoesNotContain(result.Frames, f => f.Why.Contains("chart", StringComparison.Ordinal));
        Assert.True(result.ChartNotSeen);
        Assert.InRange(result.ChartApart!.InPrimary!.Primary.Seconds, 4, 7);
        Assert.Null(result.ChartApart.InSecondary);
    }

    [Fact]
    public async Task Run_OneShowsTheChartAfterTheOther_GivesAnInstantOfEach()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        FrameStage.Result result = await RunAsync(new(), t => t is >= 2 and < 5 ? s_chart : s_tiles, t => t is >= 5 and < 8 ? s_chartB : s_tilesB, r => r);
        Assert.InRange(result.ChartApart!.InPrimary!.Primary.Seconds, 2, 5);
        Assert.InRange(result.ChartApart.InSecondary!.Secondary.Seconds, 5, 8);
    }

    [Fact]
    public async Task Run_NeitherShowsAChart_GivesNone()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        Assert.Null((await RunAsync(new(), _ => s_tiles, _ => s_tilesB, r => r)).ChartApart);
    }

    [Fact]
    public async Task Run_RegionsMarked_LooksForNoChartAndTakesLargeFramesWhole()
    {
        (Picture a, Picture b) = (DrawnScene.Tiles(1, 1, 2000, 360), DrawnScene.Tiles(1, 0.8, 2000, 360));
        RegionPair apron = RegionPair.Parse("apron=0.1,0.1,0.1,0.1");
        FrameStage.Result whole = await RunAsync(new(), _ => a, _ => b, r => r with { Regions = [apron] });
        Assert.InRange(whole.Frames.Length, 1, 3);
        Assert.All(whole.Frames, f => Assert.Equal((2000, 2000), (f.Primary.Picture.Width, f.Secondary.Picture.Width)));
        Assert.False(whole.ChartNotSeen);

        FrameStage.Result small = await RunAsync(new(), _ => a, _ => b, r => r with { Method = SamplingMethod.Overall });
        Assert.All(small.Frames, f => Assert.Equal((1920, 1920), (f.Primary.Picture.Width, f.Secondary.Picture.Width)));
    }

    [Fact]
    public async Task Run_EncodingThatTheUserNames_IsTheFramesEncoding()
    {
        FrameStage.Result result = await RunAsync(
            new(), _ => s_tiles, _ => s_tilesB, r => r with { At = ["3"], Secondary = r.Secondary with { Encoding = Colour.SignalEncoding.Hlg } });
        Assert.Equal(Colour.SignalEncoding.Hlg, result.Frames[0].Secondary.Picture.Encoding);
    }

    // Two clips of 10 s; B was switched on 1 s after A.
    private static Task<FrameStage.Result> RunAsync(MadeClipReader reader, Func<double, Picture> a, Func<double, Picture> b, Func<MatchRequest, MatchRequest> change) =>
        RunAsync(reader, a, b, change, SyncFound.Given(-1));

    private static Task<FrameStage.Result> RunAsync(
        MadeClipReader reader, Func<double, Picture> a, Func<double, Picture> b, Func<MatchRequest, MatchRequest> change, SyncFound? sync, bool still = false)
    {
        ClipInfo primary = reader.Add(MadeClip.Of("a", a(0).Width, a(0).Height) with { IsStillImage = still }, a);
        ClipInfo secondary = reader.Add(MadeClip.Of("b", b(0).Width, b(0).Height) with { IsStillImage = still }, b);
        MatchRequest request = change(new MatchRequest("a", "b") { Reader = reader });
        return FrameStage.RunAsync(SyncedClips.Of(primary, secondary, sync, request), request, TestContext.Current.CancellationToken);
    }
}
