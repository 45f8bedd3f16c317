using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

public class ChartPairTests
{
    private static readonly ChartReference s_chart = ChartReference.Chart24;

    private static ChartMeasurement Shot(double gain, double lift = 0.05)
    {
        CodeRgb Camera(int index, CodeRgb c) => new(lift + (gain * Math.Max(0, c.R)), lift + (gain * c.G), lift + (gain * c.B));
        return DrawnChart.Measured(s_chart, Camera);
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

    // Two of three frames clip the white patch, all three the one beside it: one patch is missing, not five.
    [Fact]
    public void Sample_PatchesClippedInSomeFrames_AreCountedAsPatchesNotAsReadings()
    {
        ChartMeasurement good = Shot(0.6);
        ChartMeasurement Clipping(params int[] patches) => good with
        {
            Patches = [.. good.Patches.Select(p => patches.Contains(p.Index) ? p with { Fault = PatchFault.Clipped } : p)],
        };
        SampleSet set = ChartPair.Sample([new(good, Clipping(18, 19), 1, 1), new(Clipping(18, 19), good, 2, 2), new(good, Clipping(19), 3, 3)], s_chart);
        Assert.Equal(23, set.Pairs.Length);
        Assert.Equal(1, set.Rejected["clipped"]);
        Assert.Equal("23 of 24 patches of the chart are used; left out: 1 clipped.", Assert.Single(set.Warnings));
    }

    // Every patch another colour than published, by no rule: no camera can have done that.
    [Fact]
    public void AgainstReference_AChartOfAnotherMake_IsRefused()
    {
        ChartMeasurement other = Shot(0.6);
        other = other with
        {
            Patches = [.. other.Patches.Select(p => p with { Colour = Moved(p.Index, p.Colour) })],
        };
        SampleSet set = ChartPair.AgainstReference(other, s_chart, SignalEncoding.Srgb);
        Assert.Contains("does not have the colours", set.Refusal, StringComparison.Ordinal);

        static CodeRgb Moved(int i, CodeRgb c) => new(c.R + (0.05 * Math.Sin(7.1 * i)), c.G + (0.05 * Math.Sin((11.3 * i) + 1)), c.B + (0.05 * Math.Sin((5.7 * i) + 2)));
    }

    [Fact]
    public void AgainstReference_GivesThePublishedColoursAndSaysSo()
    {
        SampleSet set = ChartPair.AgainstReference(Shot(0.6), s_chart, SignalEncoding.Bt709);
        Assert.Equal(s_chart.CodeOf(3, SignalEncoding.Bt709), set.Pairs.Single(p => p.Group == "patch-04").Primary);
        Assert.Null(set.Refusal);
        Assert.Contains("one clip only", set.Warnings[0], StringComparison.Ordinal);
    }
}
