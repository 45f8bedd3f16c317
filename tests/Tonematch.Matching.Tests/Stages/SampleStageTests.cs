using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Vision;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

/// <summary>Chart, else common things, else whole pictures, in this order; what the user says comes first; and every way to be refused.</summary>
public class SampleStageTests
{
    private static readonly MatchRequest s_request = new("a", "b");

    private static readonly MatchRequest s_corners = s_request with
    {
        Primary = s_request.Primary with { ChartCorners = DrawnScene.ChartCorners },
        Secondary = s_request.Secondary with { ChartCorners = DrawnScene.ChartCorners },
    };

    private static readonly RegionPair s_apron = RegionPair.Parse("apron=0.3,0.3,0.02,0.02"), s_sleeve = RegionPair.Parse("sleeve=0.6,0.6,0.02,0.02");

    [Fact]
    public void Run_ChartInBoth_IsTakenFirst()
    {
        SampleSet set = Run(DrawnScene.Chart(), DrawnScene.Chart(0.8), s_corners);
        Assert.Equal((SamplingMethod.Chart, 24), (set.Method, set.Pairs.Count(p => p.Locality == SampleLocality.Chart)));
    }

    [Fact]
    public void Run_ChartInBoth_WhatIsAroundItIsComparedToo()
    {
        SampleSet set = Run(DrawnScene.Chart(), DrawnScene.Chart(0.8), s_corners);
        SamplePair[] around = [.. set.Pairs.Where(p => !SampleLocality.IsChart(p.Locality))];
        Assert.NotEmpty(around);
        Assert.All(around, p => Assert.Equal(0.8, p.Secondary.G / p.Primary.G, 0.02));
    }

    [Fact]
    public void Run_NoChartButTheSameThings_TakesThose()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        SampleSet set = Run(DrawnScene.Tiles(1), DrawnScene.Tiles(1, 0.8), s_request);
        Assert.Equal(SamplingMethod.Overlap, set.Method);
        Assert.All(set.Pairs, p => Assert.Equal(0.8, p.Secondary.G / p.Primary.G, 0.02));
    }

    [Fact]
    public void Run_NothingInCommon_TakesTheWholePicturesAndSaysWhatWasPassedOver()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        SampleSet set = Run(DrawnScene.Tiles(1), DrawnScene.Tiles(2), s_request);
        Assert.Equal(SamplingMethod.Overall, set.Method);
        Assert.Equal(OverallSampler.LowConfidence, set.Warnings[0]);
        Assert.StartsWith("No ", set.Warnings[1], StringComparison.Ordinal);
        Assert.Contains("was found in both pictures at the same time", set.Warnings[1], StringComparison.Ordinal);
        Assert.Contains("no objects in common", set.Warnings[2], StringComparison.Ordinal);
        Assert.Single(set.Pairs.Select(p => p.Group).Distinct());
    }

    [Fact]
    public void Run_RegionsMarked_ComeBeforeAChartThatBothShow()
    {
        SampleSet set = Run(DrawnScene.Chart(), DrawnScene.Chart(0.8), s_corners with { Regions = [s_apron, s_sleeve] });
        Assert.Equal(SamplingMethod.Regions, set.Method);
    }

    [Theory]
    [InlineData(SamplingMethod.Chart)]
    [InlineData(SamplingMethod.Overall)]
    public void Run_MethodNamed_ComesBeforeTheRegions(SamplingMethod method)
    {
        SampleSet set = Run(DrawnScene.Chart(), DrawnScene.Chart(0.8), s_corners with { Regions = [s_apron, s_sleeve], Method = method });
        Assert.Equal(method, set.Method);
    }

    [Fact]
    public void Run_ChartInTheSecondaryOnlyAndAskedFor_LeadsToThePublishedColours()
    {
        SampleSet set = Run(DrawnScene.Tiles(1), DrawnScene.Chart(0.8), s_corners with { Method = SamplingMethod.Chart, Primary = s_request.Primary });
        Assert.StartsWith("The chart is in one clip only", set.Warnings[0], StringComparison.Ordinal);
        Assert.Null(set.Refusal);
    }

    [Fact]
    public void Run_OneShowsTheChartAfterTheOtherInOneLight_PairsItAndWhatBothSee()
    {
        SampleSet set = RunApart(Apart(DrawnScene.ChartOnTiles(1), DrawnScene.Tiles(1, 0.8), DrawnScene.Tiles(1), DrawnScene.ChartOnTiles(1, 0.8)));
        Assert.StartsWith("Camera A shows the chart at 3.0 s of its clip, camera B at 6.0 s of its own", set.Warnings[0], StringComparison.Ordinal);
        Assert.Equal(SamplingMethod.Chart, set.Method);
        SamplePair[] patches = [.. set.Pairs.Where(p => p.Locality == SampleLocality.Chart)];
        Assert.InRange(patches.Length, 20, 24);
        Assert.True(set.Pairs.Length > patches.Length);
        Assert.All(set.Pairs, p => Assert.Equal(0.8, p.Secondary.G / p.Primary.G, 0.03));
    }

    [Fact]
    public void Run_OneShowsTheChartAfterTheOtherInOtherLight_DoesNotUseItAndSaysSo()
    {
        SampleSet set = RunApart(Apart(DrawnScene.ChartOnTiles(1), DrawnScene.Tiles(1, 0.8), DrawnScene.Tiles(1, 0.7), DrawnScene.ChartOnTiles(1, 0.6)));
        Assert.Equal(SamplingMethod.Overlap, set.Method);
        Assert.Contains("the light, the exposure or a camera's view changed", set.Warnings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Run_OnlyOneEverShowsTheChart_SaysSo()
    {
        ChartApart both = Apart(DrawnScene.ChartOnTiles(1), DrawnScene.Tiles(1, 0.8), DrawnScene.Tiles(1), DrawnScene.Tiles(1, 0.8));
        SampleSet set = RunApart(both with { InSecondary = null });
        Assert.Equal(SamplingMethod.Overlap, set.Method);
        Assert.StartsWith("Only camera A shows the chart (at 3.0 s of its clip). Its greys are neutral there: camera A's own white balance fits that light. Show it", set.Warnings[0], StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(1.1, 0.9, "mired too warm for that light, and the match carries that over to camera B. Show it")]
    [InlineData(0.9, 1.1, "mired too cool for that light, and")]
    [InlineData(0.9, 0.9, "stop too green for that light, and")]
    public void Run_OnlyOneShowsTheChartWithACast_NamesIt(double red, double blue, string expected)
    {
        ChartApart both = Apart(DrawnScene.Lit(DrawnScene.ChartOnTiles(1), red, 1, blue), DrawnScene.Tiles(1, 0.8), DrawnScene.Tiles(1), DrawnScene.Tiles(1, 0.8));
        string said = RunApart(both with { InSecondary = null }).Warnings[0];
        Assert.Contains(expected, said, StringComparison.Ordinal);
        Assert.Contains("By its greys, camera A's own white balance is", said, StringComparison.Ordinal);
    }

    private static ChartApart Apart(Picture firstA, Picture firstB, Picture secondA, Picture secondB) => new(
        new MatchedFrames(new GrabbedFrame(firstA, 3), new GrabbedFrame(firstB, 2), ""),
        new MatchedFrames(new GrabbedFrame(secondA, 7), new GrabbedFrame(secondB, 6), ""));

    private static SampleSet RunApart(ChartApart apart)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        return SampleStage.Run(
            [new MatchedFrames(new GrabbedFrame(DrawnScene.Tiles(1), 9), new GrabbedFrame(DrawnScene.Tiles(1, 0.8), 8), "")],
            s_request, chartNotSeen: false, apart, TestContext.Current.CancellationToken);
    }

    [Fact]
    public void Run_RegionsAskedForAndNoneMarked_IsRefused() => AssertRefused(
        "No regions were given: mark some with --region or --regions.",
        DrawnScene.Tiles(1), DrawnScene.Tiles(1), s_request with { Method = SamplingMethod.Regions });

    [Fact]
    public void Run_ChartAskedForAndInNeither_IsRefused()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        AssertRefused("was found in both pictures at the same time.", DrawnScene.Plain(), DrawnScene.Plain(), s_request with { Method = SamplingMethod.Chart });
    }

    [Fact]
    public void Run_CommonThingsAskedForAndNone_IsRefused()
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        AssertRefused("no objects in common", DrawnScene.Plain(), DrawnScene.Plain(), s_request with { Method = SamplingMethod.Overlap });
    }

    [Fact]
    public void Run_PlainSurfaces_AreRefusedByEveryMethodAndTheLastSaysWhy() => AssertRefused(
        "shows too little to compare (black, clipped, or one plain surface)", DrawnScene.Plain(), DrawnScene.Plain(), s_request);

    [Fact]
    public void Run_CornersAroundSomethingElse_IsRefusedByTheCamerasName()
    {
        NoTrustworthyResultException e = Assert.Throws<NoTrustworthyResultException>(() => Run(DrawnScene.Tiles(1), DrawnScene.Chart(), s_corners));
        Assert.StartsWith("The four corners given for camera A do not enclose the ", e.Message, StringComparison.Ordinal);
        Assert.Contains("Give the outer corners of the chart itself", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Run_CornersThatSpanNothing_SaysSo()
    {
        RegionShape line = new([new(0.1, 0.1), new(0.2, 0.2), new(0.3, 0.3), new(0.4, 0.4)]);
        NoTrustworthyResultException e = Assert.Throws<NoTrustworthyResultException>(
            () => Run(DrawnScene.Chart(), DrawnScene.Chart(), s_corners with { Secondary = s_request.Secondary with { ChartCorners = line } }));
        Assert.StartsWith("The four corners given for camera B do not enclose the ", e.Message, StringComparison.Ordinal);
    }

    private static void AssertRefused(string sentence, Picture a, Picture b, MatchRequest request) =>
        Assert.Contains(sentence, Assert.Throws<NoTrustworthyResultException>(() => Run(a, b, request)).Message, StringComparison.Ordinal);

    private static SampleSet Run(Picture a, Picture b, MatchRequest request) => SampleStage.Run(
        [new MatchedFrames(new GrabbedFrame(a, 3), new GrabbedFrame(b, 2), "")], request, chartNotSeen: false, apart: null, TestContext.Current.CancellationToken);
}
