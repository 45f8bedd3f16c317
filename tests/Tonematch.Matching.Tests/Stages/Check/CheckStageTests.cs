using Tonematch.Colour;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages.Check;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Matching.Tests.Stages.Check;

public class CheckStageTests
{
    private static readonly Picture s_a = DrawnScene.Tiles(1), s_b = DrawnScene.Tiles(1, 0.8);

    private static readonly MatchRequest s_regions = new("a", "b")
    {
        Regions = [RegionPair.Parse("apron=0.315,0.335,0.02,0.02"), RegionPair.Parse("sleeve=0.66,0.615,0.02,0.02")],
    };

    [Fact]
    public async Task Run_RegionsMarked_MeasuresThemAtInstantsOverTheOverlap()
    {
        CheckFindings? found = await RunAsync(s_regions, _ => s_b, null, everyFrame: false);
        Assert.Equal((SamplingMethod.Regions, 12, false), (found!.Method, found.LookedAt, found.EveryFrame));
        Assert.True(found.Result.All.Mean > 4);
    }

    // By hand: 4 s at 25 frames per second, B begins 1 s after A: the frames from 1 s to 3.92 s (the last but one, since the
    // stretch ends before its end) are in both.
    [Fact]
    public async Task Run_EveryFrame_LooksAtEveryFrameOfTheOverlap()
    {
        CheckFindings? found = await RunAsync(s_regions, _ => s_b, null, everyFrame: true);
        Assert.Equal((74, true), (found!.LookedAt, found.EveryFrame));
    }

    [Fact]
    public async Task Run_RightCorrection_BringsTheDifferenceDownToNothing()
    {
        CheckFindings? found = await RunAsync(s_regions, _ => s_b, c => new CodeRgb(c.R / 0.8, c.G / 0.8, c.B / 0.8), everyFrame: false);
        Assert.True(found!.Result.All.Max < 0.1, $"{found.Result.All.Max}");
    }

    [Fact]
    public async Task Run_NothingAtSomeInstants_CountsThemInAWarning()
    {
        CheckFindings? found = await RunAsync(s_regions, t => t < 1.5 ? s_b : DrawnScene.Plain(1), null, everyFrame: false);
        Assert.Matches("^At [1-9][0-9]* of 12 instants nothing was found that both cameras saw", found!.Warnings[0]);
    }

    [Fact]
    public async Task Run_NothingAnywhereByTheMethodAskedFor_GivesNothing() =>
        Assert.Null(await RunAsync(s_regions with { Method = SamplingMethod.Regions }, _ => DrawnScene.Plain(1), null, everyFrame: false));

    private static Task<CheckFindings?> RunAsync(MatchRequest request, Func<double, Picture> b, Func<CodeRgb, CodeRgb>? correct, bool everyFrame)
    {
        MadeClipReader reader = new();
        request = request with { Reader = reader };
        ClipInfo primary = reader.Add(MadeClip.Of("a", 640, 360, seconds: 4), _ => s_a), secondary = reader.Add(MadeClip.Of("b", 640, 360, seconds: 4), b);
        CheckStage check = new(SyncedClips.Of(primary, secondary, SyncFound.Given(-1), request), request, correct, tolerance: 2, new KnownPlaces());
        return check.RunAsync(everyFrame, new Progress<StageProgress>(), TestContext.Current.CancellationToken);
    }
}
