using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Matching.Words;
using Xunit;

namespace Tonematch.Matching.Tests.Words;

/// <summary>When matching each part by itself pays, and why a check is missed.</summary>
public class CheckWordsTests
{
    private static readonly MatchStep s_lamp = new(10, 12, 0.8, 0, 0);

    // A quarter of what is just seen side by side is the least that is worth a second file.
    [Theory]
    [InlineData(1.5, 1.0, true)]
    [InlineData(1.5, 1.3, false)]
    [InlineData(0.5, 0.6, false)]
    public void Steps_MatchingEachPartByItself_IsAdvisedOnlyWhereItPays(double oneForAll, double each, bool pays)
    {
        string last = CheckWords.Steps(Result([s_lamp], oneForAll, each))[^1];
        Assert.Equal(pays, last.Contains("is worth it here", StringComparison.Ordinal));
        Assert.Equal(!pays, last.Contains("too small to match each part", StringComparison.Ordinal));
    }

    [Fact]
    public void Steps_AJump_IsNamedOnBothClocks() =>
        Assert.StartsWith("At 10.00 s of camera A (12.00 s of camera B) camera B changes against camera A: exposure by +0.80 stop", CheckWords.Steps(Result([s_lamp], 1, 1))[0], StringComparison.Ordinal);

    [Fact]
    public void Steps_None_SaysSo() => Assert.Equal(["No jump of exposure or white balance between the cameras was found."], CheckWords.Steps(Result([], 1, 1)));

    private static CheckResult Result(ImmutableArray<MatchStep> steps, double oneForAll, double each) => new(
        DeltaEStatistics.Of([1]), ImmutableSortedDictionary<string, DeltaEStatistics>.Empty, [], steps, oneForAll, each, 2);
}
