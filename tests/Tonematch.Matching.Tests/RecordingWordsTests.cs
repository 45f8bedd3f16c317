using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Matching.Words;
using Tonematch.Samples;
using Tonematch.Sync;
using Xunit;

namespace Tonematch.Matching.Tests;

public class RecordingWordsTests
{
    private static readonly DeltaEStatistics s_some = DeltaEStatistics.Of([1, 2, 3]);

    [Fact]
    public void Warnings_ExposureThatWanders_IsNamedFirst()
    {
        CheckResult wandering = Over([.. Enumerable.Range(0, 20).Select(i => 0.4 * Math.Sin(i))], []);
        Assert.InRange(RecordingWords.WanderingStops(wandering), 0.6, 0.8);
        Assert.Contains("wanders by 0.", RecordingWords.Warnings(wandering, Samples(3))[0], StringComparison.Ordinal);
    }

    [Fact]
    public void Warnings_ExposureThatJumpsOnce_IsNoWandering()
    {
        MatchStep step = new(10, 10, 1, 0, 0);
        CheckResult jump = Over([.. Enumerable.Range(0, 20).Select(i => i < 10 ? 0.0 : 1.0)], [step]);
        Assert.Equal(0, RecordingWords.WanderingStops(jump), 9);
    }

    [Theory]
    [InlineData(3.0, 4.0, "before 10.0 s")]
    [InlineData(12.0, 13.0, "after 10.0 s")]
    [InlineData(3.0, 13.0, null)]
    public void Warnings_ColoursOfOneLightOnly_AreSaidToBe(double first, double second, string? said)
    {
        CheckResult jump = Over([.. Enumerable.Range(0, 20).Select(i => i < 10 ? 0.0 : 1.0)], [new MatchStep(10, 10, 1, 0, 0)]);
        ImmutableArray<string> warnings = RecordingWords.Warnings(jump, Samples(first, second));
        Assert.Equal(said is not null, warnings.Any(w => w.Contains(said ?? "compared", StringComparison.Ordinal)));
    }

    // Offset by hand: t_secondary = t_primary + offset, so B begins at minus the offset on A's time line.
    [Theory]
    [InlineData(-19.4, 25, "B begins 19.400 s after A: put it at 00:00:19:10 (25 frames a second)")]
    [InlineData(3.48, 25, "B begins 3.480 s before A: put A at 00:00:03:12 (25 frames a second) and B at the start")]
    [InlineData(-3661.5, 29.97, "B begins 3661.500 s after A: put it at 01:00:57:25 (29.97 frames a second)")]
    [InlineData(0, 25, "A and B begin at the same moment")]
    public void InTime_SaysWhereBBegins(double offset, double rate, string said) =>
        Assert.StartsWith(said, MatchWords.InTime(SyncFound.Given(offset), rate), StringComparison.Ordinal);

    private static CheckResult Over(double[] stops, ImmutableArray<MatchStep> steps) => new(
        s_some, ImmutableSortedDictionary<string, DeltaEStatistics>.Empty,
        [.. stops.Select((s, i) => new InstantFigures(i, i, s_some, s, 0, 0))], steps, 1, 1, 2);

    private static SampleSet Samples(params double[] times) => new(
        SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Overlap,
        [.. times.Select((t, i) => new SamplePair($"p{i}", $"g{i}", CodeRgb.Grey(0.5), CodeRgb.Grey(0.4)) { Origin = new SampleOrigin(t, t, default, default) })]);
}
