using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Fitting;

public class StateFittingTests
{
    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    [Fact]
    public void Compare_TwoLightsThatNeedOtherGains_AdvisesOneEach()
    {
        (SampleSet samples, int[] states) = TwoLights(1.25);
        StateComparison found = StateFitting.Compare(samples, states, CorrectionKind.Matrix, TestContext.Current.CancellationToken)!;
        Assert.True(found.IsPerState && found.PerStateMean < 0.5 * found.OneForAllMean, $"{found.PerStateMean:0.00} of {found.OneForAllMean:0.00}");
    }

    [Fact]
    public void Compare_TwoLightsThatNeedTheSame_AdvisesOneForAll()
    {
        for (int seed = 0; seed < 10; seed++)
        {
            (SampleSet samples, int[] states) = TwoLights(1, seed);
            Assert.False(StateFitting.Compare(samples, states, CorrectionKind.Matrix, TestContext.Current.CancellationToken)!.IsPerState);
        }
    }

    [Fact]
    public void Compare_StateOfTooFewColoursForTheKind_TakesASimplerOneForBothSides()
    {
        (SampleSet samples, int[] states) = TwoLights(1.25);
        int[] few = [.. Enumerable.Range(0, states.Length).Where(i => states[i] == 0 || i % 40 == 1)];
        StateComparison found = StateFitting.Compare(samples with { Pairs = [.. few.Select(i => samples.Pairs[i])] }, [.. few.Select(i => states[i])], CorrectionKind.RootPolynomial, TestContext.Current.CancellationToken)!;
        Assert.True(found.Kind < CorrectionKind.RootPolynomial, $"{found.Kind}");
    }

    [Fact]
    public void Compare_OneState_CannotSay()
    {
        (SampleSet samples, int[] states) = TwoLights(1.25);
        Assert.Null(StateFitting.Compare(samples, [.. states.Select(_ => 0)], CorrectionKind.Matrix, TestContext.Current.CancellationToken));
        Assert.Throws<ArgumentException>(() => StateFitting.Compare(samples, [0], CorrectionKind.Matrix, TestContext.Current.CancellationToken));
    }

    // Half of the colours under each light; noise as of a sensor.
    private static (SampleSet Samples, int[] States) TwoLights(double red, int seed = 1)
    {
        Random random = new(seed);
        CodeRgb Noisy(CodeRgb c) => new(c.R + (0.006 * (random.NextDouble() - 0.5)), c.G + (0.006 * (random.NextDouble() - 0.5)), c.B + (0.006 * (random.NextDouble() - 0.5)));
        CodeRgb[] colours = MadeColours.Spread(160, seed);
        SampleSet first = MadeColours.PairsOf(new GainsCorrection(s_bt709, s_bt709, 1.1, 1, 0.9), colours, (_, c) => Noisy(c));
        SampleSet second = MadeColours.PairsOf(new GainsCorrection(s_bt709, s_bt709, 1.1 * red, 1, 0.9 / red), colours, (_, c) => Noisy(c));
        int[] states = [.. colours.Select((_, i) => i % 2)];
        return (first with { Pairs = [.. states.Select((s, i) => (s == 0 ? first : second).Pairs[i])] }, states);
    }
}
