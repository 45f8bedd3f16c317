using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

public class EditStageTests
{
    private static readonly SampleSet s_found = Set([.. Enumerable.Range(0, 48).Select(i => Pair($"p{i}", "chart") with { Weight = 2 })]);

    private static readonly SampleSet s_face = Set([Pair("face@3.000", "face") with { Label = "face" }]);

    [Fact]
    public void Apply_NoChange_IsTheVerySamples() => Assert.Same(s_found, EditStage.Apply(s_found, [], SampleEdits.None));

    [Fact]
    public void Apply_PairTakenOut_IsNotAmongThemAndIsCountedAndSaid()
    {
        SampleSet left = EditStage.Apply(s_found, [], SampleEdits.None with { LeftOut = SampleEdits.None.LeftOut.Add("p7") });
        Assert.Equal(47, left.Pairs.Length);
        Assert.DoesNotContain(left.Pairs, p => p.Id == "p7");
        Assert.Equal(1, left.Rejected["taken out by hand"]);
        Assert.Contains("1 of 48", left.Warnings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Apply_MarkedRegion_CountsLikeATwentyFourthOfEverythingFound()
    {
        SampleSet more = EditStage.Apply(s_found, [s_face], SampleEdits.None with { Marked = [new RegionPair("face", RegionShape.Box(0, 0, 1, 1), RegionShape.Box(0, 0, 1, 1), 3)] });
        Assert.Equal(49, more.Pairs.Length);
        Assert.Equal(48 * 2.0 / 24, more.Pairs[^1].Weight, 1e-12);
        Assert.Contains("face", more.Warnings[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Apply_Weight_IsAFactorOfThatGroupAlone()
    {
        SampleSet weighed = EditStage.Apply(s_found, [s_face], SampleEdits.None with { Weights = SampleEdits.None.Weights.Add("face", 3) });
        Assert.Equal(3 * 48 * 2.0 / 24, weighed.Pairs[^1].Weight, 1e-12);
        Assert.All(weighed.Pairs.Take(48), p => Assert.Equal(2, p.Weight));
    }

    private static SampleSet Set(ImmutableArray<SamplePair> pairs) => new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Chart, pairs);

    private static SamplePair Pair(string id, string group) => new(id, group, CodeRgb.Grey(0.5), CodeRgb.Grey(0.4));
}
