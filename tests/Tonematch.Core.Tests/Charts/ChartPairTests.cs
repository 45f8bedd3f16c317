using Tonematch.Charts;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Charts;

public class ChartPairTests
{
    private static readonly ChartReference s_chart = ChartReference.Chart24;

    private static ChartMeasurement Shot(double gain, double lift = 0.05)
    {
        CodeRgb Camera(int index, CodeRgb c) => new(lift + (gain * Math.Max(0, c.R)), lift + (gain * c.G), lift + (gain * c.B));
        return ChartSampler.Measure(
            DrawnChart.Draw(s_chart, DrawnChart.Tilted, Camera), ChartGeometry.FromCorners(s_chart.Layout, DrawnChart.Tilted)!);
    }

    [Fact]
    public void Sample_RepeatedFrames_AreAveragedAndGiveTheNoiseFloor()
    {
        ChartMeasurement a = Shot(0.700), b = Shot(0.706), c = Shot(0.5);
        SampleSet set = ChartPair.Sample([new(a, c, 1, 1), new(b, c, 2, 2)], s_chart);
        Assert.Equal(24, set.Pairs.Length);
        Assert.Equal((a.Patches[0].Colour.R + b.Patches[0].Colour.R) / 2, set.Pairs[0].Primary.R, 1e-12);
        // Half of the readings (the secondary's) repeat exactly; the primary's differ by what the formula says.
        double expected = a.Patches.Zip(b.Patches).Average(p => DeltaE2000.Between(
            SignalEncoding.Srgb.ToLab(p.First.Colour), SignalEncoding.Srgb.ToLab(p.Second.Colour))) / 2;
        Assert.Equal(expected, set.NoiseFloorDeltaE!.Value, 1e-9);
        Assert.Equal("dark skin", set.Pairs[0].Label);
    }

    [Fact]
    public void Sample_TwoLights_AreKeptApartInTheSameGroups()
    {
        SampleSet set = ChartPair.Sample([new(Shot(0.7), Shot(0.6), 1, 1), new(Shot(0.4), Shot(0.35), 2, 2)], s_chart);
        Assert.Equal(48, set.Pairs.Length);
        Assert.Equal(24, set.Pairs.Select(p => p.Group).Distinct().Count());
        Assert.Equal(48, set.Pairs.Select(p => p.Id).Distinct().Count());
    }

    [Fact]
    public void Sample_MostPatchesClipped_IsRefusedWithTheCount()
    {
        SampleSet set = ChartPair.Sample([new(Shot(3), Shot(0.5))], s_chart);
        Assert.NotNull(set.Refusal);
        Assert.True(set.Rejected["clipped"] > 12);
        Assert.Null(set.NoiseFloorDeltaE);
    }

    [Fact]
    public void AgainstReference_GivesThePublishedColoursAndSaysSo()
    {
        SampleSet set = ChartPair.AgainstReference(Shot(0.6), s_chart, SignalEncoding.Bt709);
        Assert.Equal(s_chart.CodeOf(3, SignalEncoding.Bt709), set.Pairs.Single(p => p.Group == "patch-04").Primary);
        Assert.Contains("one clip only", set.Warnings[0], StringComparison.Ordinal);
    }
}
