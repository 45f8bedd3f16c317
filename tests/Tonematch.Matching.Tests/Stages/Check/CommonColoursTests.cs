using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages.Check;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Stages.Check;

/// <summary>
/// Follows before it searches. A search is told from following by what it finds: it is asked for the chart between given
/// corners, and where none is there it throws.
/// </summary>
public class CommonColoursTests
{
    private static readonly MatchRequest s_chart = new("a", "b")
    {
        Method = SamplingMethod.Chart,
        Primary = new("a") { ChartCorners = DrawnScene.ChartCorners },
        Secondary = new("b") { ChartCorners = DrawnScene.ChartCorners },
    };

    private static readonly MatchedFrames s_tiles = Frames(DrawnScene.Tiles(1), DrawnScene.Tiles(1, 0.8), 3), s_others = Frames(DrawnScene.Tiles(1), DrawnScene.Tiles(1, 0.8), 4);

    [Fact]
    public async Task In_PlacesRememberedAndStillThere_AreMeasuredWithoutASearch()
    {
        CommonColours colours = Remembering();
        FollowedColour[] found = (await colours.InAsync([s_others], 0, 1, forEveryFrame: false, TestContext.Current.CancellationToken))[0];
        Assert.Equal(20, found.Length);
        Assert.All(found, c => Assert.Equal(0.8, c.Secondary.G / c.Primary.G, 1e-3));
    }

    [Fact]
    public async Task In_NothingLeftOfThePlaces_SearchesAnew()
    {
        CommonColours colours = Remembering();
        MatchedFrames chart = Frames(DrawnScene.Chart(), DrawnScene.Chart(0.8), 5);
        FollowedColour[][] found = await colours.InAsync([s_others, chart], 0, 2, forEveryFrame: false, TestContext.Current.CancellationToken);
        Assert.Equal([20, 24], found.Select(f => f.Length));
    }

    [Fact]
    public async Task In_NothingRemembered_SearchesAtAQuarterOfTheInstantsAndFollowsBetweenThem()
    {
        CommonColours colours = new(s_chart, new());
        MatchedFrames chart = Frames(DrawnScene.Chart(), DrawnScene.Chart(0.8), 0), otherBlue = Frames(WithoutBlue(DrawnScene.Chart()), WithoutBlue(DrawnScene.Chart(0.8)), 0);
        MatchedFrames[] all = [.. Enumerable.Range(0, 16).Select(i => i % 4 == 2 ? At(chart, i) : At(otherBlue, i))];
        FollowedColour[][] found = await colours.InAsync([.. all], 0, 16, forEveryFrame: false, TestContext.Current.CancellationToken);
        Assert.All(found, f => Assert.Equal(24, f.Length));
        Assert.Equal(SamplingMethod.Chart, colours.Method);

        // The instants between were not searched: that would have been refused.
        await Assert.ThrowsAsync<NoTrustworthyResultException>(
            () => new CommonColours(s_chart, new()).InAsync([otherBlue], 0, 1, forEveryFrame: false, TestContext.Current.CancellationToken));
    }

    [Fact]
    public async Task In_PlacesKnownFromAnotherPairOfClips_AreMeasuredWithoutASearchAndByTheirMethod()
    {
        KnownPlaces known = new();
        MatchedFrames chart = Frames(DrawnScene.Chart(), DrawnScene.Chart(0.8), 0), otherBlue = Frames(WithoutBlue(DrawnScene.Chart()), WithoutBlue(DrawnScene.Chart(0.8)), 7);
        Assert.Equal(24, (await new CommonColours(s_chart, known).InAsync([chart], 0, 1, forEveryFrame: false, TestContext.Current.CancellationToken))[0].Length);

        // A search would be refused here.
        CommonColours next = new(s_chart, known);
        Assert.Equal(24, (await next.InAsync([otherBlue], 0, 1, forEveryFrame: false, TestContext.Current.CancellationToken))[0].Length);
        Assert.Equal(SamplingMethod.Chart, next.Method);
    }

    [Fact]
    public async Task In_SearchThatFails_IsNotHidden()
    {
        CommonColours colours = new(s_chart, new());
        await Assert.ThrowsAsync<NoTrustworthyResultException>(() => colours.InAsync([s_tiles], 0, 1, forEveryFrame: false, TestContext.Current.CancellationToken));
    }

    [Theory]
    [InlineData(SamplingMethod.Chart, false, true)]
    [InlineData(SamplingMethod.Overlap, false, true)]
    [InlineData(null, false, true)]
    [InlineData(null, true, false)]
    [InlineData(SamplingMethod.Regions, true, false)]
    [InlineData(SamplingMethod.Overall, false, false)]
    public void Follows_WhatHasToBeSearchedForAndNothingElse(SamplingMethod? method, bool hasRegions, bool follows) => Assert.Equal(
        follows, new CommonColours(new MatchRequest("a", "b") { Method = method, Regions = hasRegions ? [RegionPair.Parse("apron=0.1,0.1,0.1,0.1")] : [] }, new()).Follows);

    [Fact]
    public void Overall_PlainSurfaces_GiveNothing()
    {
        CommonColours colours = new(new MatchRequest("a", "b"), new());
        Assert.Empty(colours.Overall(Frames(DrawnScene.Plain(), DrawnScene.Plain(), 1)));
        Assert.NotEmpty(colours.Overall(s_tiles));
        Assert.Equal(SamplingMethod.Overall, colours.Method);
    }

    // Twenty places on the borders of tiles, where there is structure to know them by.
    private static CommonColours Remembering()
    {
        KnownPlaces known = new();
        SamplePair[] pairs = [.. Enumerable.Range(0, 20).Select(i =>
        {
            SamplePlace place = new((i + 2) / 32.0, 0.5, 0.02, 0.02);
            return new SamplePair($"p{i}", $"p{i}", default, default) { Origin = new SampleOrigin(3, 2, place, place) };
        })];
        known.Remember(s_tiles, new SampleSet(Colour.SignalEncoding.Bt709, Colour.SignalEncoding.Bt709, SamplingMethod.Chart, [.. pairs]), forEveryFrame: false);
        return new CommonColours(s_chart, known);
    }

    // Looks the same where places are known by their lightness, and has no chart's colours.
    private static Picture WithoutBlue(Picture p)
    {
        float[] blue = new float[p.B.Length];
        Array.Fill(blue, 0.3f);
        return new Picture(p.Width, p.Height, p.R.ToArray(), p.G.ToArray(), blue, p.Encoding);
    }

    private static MatchedFrames At(MatchedFrames frames, double seconds) => frames with { Primary = frames.Primary with { Seconds = seconds } };

    private static MatchedFrames Frames(Picture a, Picture b, double seconds) => new(new GrabbedFrame(a, seconds), new GrabbedFrame(b, seconds - 1), "");
}
