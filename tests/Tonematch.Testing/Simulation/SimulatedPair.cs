using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Testing.Simulation;

/// <summary>Two simulated cameras before the same light: what was measured of a chart, and what is to be matched.</summary>
/// <param name="Name">Cameras, light, styles.</param>
/// <param name="Primary">The primary's style.</param>
/// <param name="Secondary">The secondary's style.</param>
/// <param name="Chart">24 chart patches, noisy, 8 bit.</param>
/// <param name="ScoredPrimary">What the primary records of other things, without noise.</param>
/// <param name="ScoredSecondary">The same things from the secondary.</param>
public sealed record SimulatedPair(
    string Name,
    Rendering Primary,
    Rendering Secondary,
    SampleSet Chart,
    ImmutableArray<CodeRgb> ScoredPrimary,
    ImmutableArray<CodeRgb> ScoredSecondary)
{
    /// <summary>The chart's patches as they are before any noise and 8-bit recording.</summary>
    public required SampleSet CleanChart { get; init; }

    /// <summary>
    /// The chart with light on it that falls differently in the two pictures: of each coefficient of a surface of second
    /// degree (logarithm of light, middle to edge) the standard deviation is given.
    /// </summary>
    public required Func<double, SampleSet> UnevenChart { get; init; }

    /// <summary>Another set of samples: things from the scored list, with noise and mismatches.</summary>
    public SampleSet Samples(int count, double noise, double mismatched, int seed)
    {
        Random random = new(seed);
        ImmutableArray<SamplePair>.Builder pairs = ImmutableArray.CreateBuilder<SamplePair>(count);
        for (int i = 0; i < count; i++)
        {
            int k = random.Next(ScoredPrimary.Length);
            int other = random.NextDouble() < mismatched ? random.Next(ScoredPrimary.Length) : k;
            pairs.Add(new SamplePair(
                $"s{i:D5}",
                $"g{i / 4:D4}",
                SimulatedCameras.Record(ScoredPrimary[k], noise, random),
                SimulatedCameras.Record(ScoredSecondary[other], noise, random)));
        }

        return Chart with { Method = SamplingMethod.Overlap, Pairs = pairs.ToImmutable() };
    }

    /// <summary>Some of the chart's patches.</summary>
    public SampleSet Patches(params int[] numbers) => Chart with { Pairs = [.. numbers.Select(n => Chart.Pairs[n])] };
}
