using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Fitting;

public class CrossValidationTests
{
    // A little worse everywhere is worse for certain. It counts unless nobody could see what is left at all.
    [Theory]
    [InlineData(3.0, 2)]
    [InlineData(0.3, 1)]
    public void Simplest_ALittleWorseOnEveryPair_IsTakenOnlyWhereNothingIsSeen(double left, int expected)
    {
        Random random = new(1);
        double[] rich = [.. Enumerable.Range(0, 200).Select(_ => left * (0.5 + random.NextDouble()))];
        double[] simple = [.. rich.Select(d => d + 0.015)], identity = [.. rich.Select(_ => 20.0)];
        FitSamples samples = FitSamples.From(
            MadeColours.PairsOf(new IdentityCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709), MadeColours.Spread(200)), FitOptions.Default);
        int chosen = CrossValidation.Plan(samples, 12).Simplest([identity, simple, rich], [true, true, true]);
        Assert.Equal(expected, chosen);
    }
}
