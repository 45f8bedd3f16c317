using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Fitting.Models;
using Tonematch.Fitting.Solvers;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Fitting.Solvers;

public class LevenbergMarquardtTests
{
    private static readonly Loss s_loss = new(2, 20);

    // The solver stops when two steps in a row lower the objective by less than 1e-4 of it: nothing beside its result may
    // lie lower by more than some such steps.
    [Fact]
    public void Minimise_NoisyPairs_EndsWhereNoNumberAloneLowersTheObjective()
    {
        Random random = new(3);
        FitSamples samples = Samples((_, p) => new CodeRgb(p.R + (0.01 * random.NextDouble()), p.G + (0.01 * random.NextDouble()), p.B + (0.01 * random.NextDouble())));
        MatrixModel model = new(samples);
        double[] start = model.Start(samples), nothing = new double[start.Length];
        LmResult result = LevenbergMarquardt.Minimise(model, samples, start, s_loss, nothing, nothing, TestContext.Current.CancellationToken);
        Assert.Equal(Cost(model, samples, result.Parameters), result.Cost, 1e-9 * result.Cost);
        Assert.True(result.Cost <= Cost(model, samples, start));
        for (int j = 0; j < start.Length; j++)
        {
            foreach (double step in (double[])[-1e-2, -1e-3, 1e-3, 1e-2])
            {
                double[] beside = [.. result.Parameters];
                beside[j] += step;
                Assert.True(Cost(model, samples, beside) > result.Cost * (1 - 1e-3), $"number {j} moved by {step}");
            }
        }
    }

    [Fact]
    public void Minimise_PairsThatFitExactly_FindsTheirNumbers()
    {
        FitSamples samples = Samples(null);
        MatrixModel model = new(samples);
        double[] start = model.Start(samples), nothing = new double[start.Length];
        double[] off = [.. start.Select((v, i) => v + (0.05 * ((i % 3) - 1)))];
        LmResult result = LevenbergMarquardt.Minimise(model, samples, off, s_loss, nothing, nothing, TestContext.Current.CancellationToken);
        Assert.True(result.Cost < 1e-6 * Cost(model, samples, off), $"{result.Cost} of {Cost(model, samples, off)}");
    }

    private static FitSamples Samples(Func<int, CodeRgb, CodeRgb>? disturb) => FitSamples.From(
        MadeColours.PairsOf(new GainsCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709, 0.9, 1.0, 1.15), MadeColours.Spread(60), disturb), FitOptions.Default);

    private static double Cost(ParametricModel model, FitSamples samples, double[] p)
    {
        double cost = 0;
        double[] y = new double[3];
        model.Prepare(p);
        foreach (FitPair pair in samples.Pairs)
        {
            model.Evaluate(p, pair, y);
            cost += pair.Weight * s_loss.Of(DeltaE2000.Between(pair.PrimaryLab, LevenbergMarquardt.Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2])));
        }

        return cost;
    }
}
