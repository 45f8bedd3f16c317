using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Fitting.Models;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Core.Tests.Fitting.Models;

/// <summary>What is fitted is what is handed over: a model's values are its correction's, far from the start too.</summary>
public class ParametricModelTests
{
    private static readonly FitSamples s_samples = Samples();

    public static TheoryData<string> Models => ["gains", "matrix", "curves-matrix", "root-polynomial"];

    [Theory]
    [MemberData(nameof(Models))]
    public void Evaluate_AnyNumbers_GivesWhatTheCorrectionGives(string name)
    {
        ParametricModel model = Model(name);
        Random random = new(2);
        double[] y = new double[3];
        for (int trial = 0; trial < 200; trial++)
        {
            double[] p = Numbers(model, random, trial);
            model.Prepare(p);
            Correction correction = model.ToCorrection(p, s_samples);
            foreach (FitPair pair in s_samples.Pairs)
            {
                model.Evaluate(p, pair, y);
                CodeRgb fitted = model.GivesLight ? s_samples.PrimaryEncoding.FromScene(new SceneRgb(y[0], y[1], y[2])) : new CodeRgb(y[0], y[1], y[2]);
                CodeRgb applied = correction.Apply(pair.Secondary);
                double scale = 1 + Math.Max(Math.Abs(applied.R), Math.Max(Math.Abs(applied.G), Math.Abs(applied.B)));
                Assert.Equal(applied.R, fitted.R, 1e-9 * scale);
                Assert.Equal(applied.G, fitted.G, 1e-9 * scale);
                Assert.Equal(applied.B, fitted.B, 1e-9 * scale);
            }
        }
    }

    // Against differences of the values themselves, over two steps to the side.
    [Theory]
    [MemberData(nameof(Models))]
    public void Evaluate_AnyNumbers_DerivativesAreThoseOfTheValues(string name)
    {
        ParametricModel model = Model(name);
        Random random = new(4);
        int n = model.ParameterCount;
        double[] y = new double[3], up = new double[3], down = new double[3], dy = new double[3 * n];
        for (int trial = 0; trial < 20; trial++)
        {
            double[] p = Numbers(model, random, trial % 4);
            FitPair pair = s_samples.Pairs[random.Next(s_samples.Count)];
            model.Prepare(p);
            model.Evaluate(p, pair, y, dy);
            for (int j = 0; j < n; j++)
            {
                const double h = 1e-5;
                double[] q = [.. p];
                q[j] = p[j] + h;
                model.Prepare(q);
                model.Evaluate(q, pair, up);
                q[j] = p[j] - h;
                model.Prepare(q);
                model.Evaluate(q, pair, down);
                for (int o = 0; o < 3; o++)
                {
                    double numeric = (up[o] - down[o]) / (2 * h);
                    Assert.Equal(numeric, dy[(o * n) + j], 2e-4 * (1 + Math.Abs(numeric)));
                }
            }
        }
    }

    private static ParametricModel Model(string name) => name switch
    {
        "gains" => new GainsModel(),
        "matrix" => new MatrixModel(s_samples),
        "curves-matrix" => new CurvesMatrixModel(s_samples),
        _ => new RootPolynomialModel(s_samples),
    };

    // From near the start to far away: every number moves by up to 'trial' times its expected size.
    private static double[] Numbers(ParametricModel model, Random random, int trial) =>
        [.. model.Start(s_samples).Select(v => v + ((random.NextDouble() - 0.5) * Math.Min(trial, 8) * 0.5))];

    private static FitSamples Samples()
    {
        Random random = new(1);
        CodeRgb Any() => new(random.NextDouble(), random.NextDouble(), random.NextDouble());
        return FitSamples.From(
            new SampleSet(SignalEncoding.Bt709, SignalEncoding.Srgb, SamplingMethod.Given, [.. Enumerable.Range(0, 24).Select(i => new SamplePair($"{i}", $"{i}", Any(), Any()))]),
            FitOptions.Default);
    }
}
