using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Samples;

public class PairAgreementTests
{
    private static SamplePair[] Pairs(int count, Func<CodeRgb, CodeRgb> camera, int seed = 3)
    {
        Random random = new(seed);
        return [.. Enumerable.Range(0, count).Select(i =>
        {
            CodeRgb s = new(0.2 + (0.6 * random.NextDouble()), 0.2 + (0.6 * random.NextDouble()), 0.2 + (0.6 * random.NextDouble()));
            return new SamplePair($"p{i}", $"g{i}", camera(s), s);
        })];
    }

    [Fact]
    public void Of_PairsOfOneSmoothRendering_HasNoOutliers()
    {
        PairAgreement a = PairAgreement.Of(Pairs(300, c => new(0.9 * Math.Pow(c.R, 0.9), 0.95 * c.G, 0.8 * c.B)), SignalEncoding.Srgb, SignalEncoding.Srgb);
        Assert.DoesNotContain(true, a.IsOutlier);
        Assert.True(a.MedianDeltaE < 2, $"{a.MedianDeltaE}");
        Assert.True(a.LightnessRankCorrelation > 0.98);
    }

    [Fact]
    public void Of_OnePairInTenOfAnotherThing_MarksThoseAndFewOthers()
    {
        SamplePair[] pairs = Pairs(300, c => c);
        for (int i = 0; i < 300; i += 10)
        {
            pairs[i] = pairs[i] with { Primary = new CodeRgb(pairs[i].Primary.G, 1 - pairs[i].Primary.R, 0.5) };
        }

        PairAgreement a = PairAgreement.Of(pairs, SignalEncoding.Srgb, SignalEncoding.Srgb);
        int found = Enumerable.Range(0, 30).Count(i => a.IsOutlier[10 * i]);
        Assert.InRange(found, 27, 30);
        Assert.InRange(a.IsOutlier.Count(o => o) - found, 0, 3);
    }

    [Fact]
    public void Of_UnrelatedPairs_ShowsItInBothFigures()
    {
        SamplePair[] a = Pairs(200, c => c, 1), b = Pairs(200, c => c, 2);
        PairAgreement judged = PairAgreement.Of([.. a.Zip(b, (x, y) => x with { Primary = y.Primary })], SignalEncoding.Srgb, SignalEncoding.Srgb);
        Assert.True(judged.MedianDeltaE > 10);
        Assert.True(Math.Abs(judged.LightnessRankCorrelation) < 0.3);
    }

    [Fact]
    public void Apply_AColourThatFillsThePicture_WeighsNoMoreThanTheOthersTogether()
    {
        List<SamplePair> pairs = [];
        for (int i = 0; i < 400; i++)
        {
            pairs.Add(new SamplePair($"wall{i}", "wall", CodeRgb.Grey(0.5), CodeRgb.Grey(0.5 + (1e-4 * (i % 10)))));
        }

        foreach ((string name, CodeRgb c) in ((string, CodeRgb)[])[("red", new(0.7, 0.2, 0.2)), ("green", new(0.2, 0.6, 0.2)), ("blue", new(0.1, 0.2, 0.7))])
        {
            for (int i = 0; i < 5; i++)
            {
                pairs.Add(new SamplePair($"{name}{i}", name, c, c));
            }
        }

        ImmutableArray<SamplePair> weighed = DensityWeights.Apply(pairs, SignalEncoding.Srgb, SignalEncoding.Srgb);
        double Weight(string group) => weighed.Where(p => p.Group == group).Sum(p => p.Weight);
        Assert.Equal(Weight("red"), Weight("wall"), 0.15 * Weight("wall"));
        Assert.Equal(1, weighed.Average(p => p.Weight), 1e-9);
        Assert.Equal("wall0", weighed[0].Id);
        Assert.True(weighed.Count(p => p.Group == "wall") <= 20);
    }
}
