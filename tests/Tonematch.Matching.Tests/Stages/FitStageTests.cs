using Tonematch.Colour;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Words;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Xunit;

namespace Tonematch.Matching.Tests.Stages;

public class FitStageTests
{
    // The secondary is 0.8 stops darker, warmer and of more contrast, exactly: its table must reach beyond the range in more
    // than half of all colours, whatever the kind.
    [Fact]
    public void Run_SecondaryMuchDarker_HandsOverTheBestKindAndSaysWhatClips()
    {
        double[] light = [0.60, 0.53, 0.38];
        Random random = new(3);
        SamplePair[] pairs = [.. Enumerable.Range(0, 300).Select(i =>
        {
            double grey = 0.08 + (0.8 * random.NextDouble());
            double[] p = [.. light.Select(_ => Math.Clamp(grey + (0.3 * (random.NextDouble() - 0.5)), 0.03, 0.97))];
            double[] s = [.. p.Select((v, c) =>
            {
                double dim = Math.Pow(light[c] * Math.Pow(v, 2.4), 1 / 2.4);
                return dim - (0.05 * Math.Sin(2 * Math.PI * dim));
            })];
            return new SamplePair($"{i}", $"g{i % 40}", new CodeRgb(p[0], p[1], p[2]), new CodeRgb(s[0], s[1], s[2]));
        })];
        SampleSet set = new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [.. pairs]);

        FitStage.Result result = FitStage.Run(set, null, 17, Corrections.Trim.None, TestContext.Current.CancellationToken);

        Assert.True(result.Chosen.Safety.Findings.Single(f => f.Property == LutProperty.ClippedShare).Value > LutSafety.LargestClippedShare);
        Assert.Same(result.Fit.Advised, result.Chosen.Candidate);
        Assert.True(result.Chosen.After.Mean < 0.5, $"{result.Chosen.After.Mean}");
        Assert.Empty(result.Warnings);
        Assert.Contains("clip", Assert.Single(VerdictWords.Reasons(new MatchOutcome(set, result.Fit, result.Chosen).Verdict), r => r.StartsWith("Use the LUT with care", StringComparison.Ordinal)), StringComparison.Ordinal);
    }

    // The secondary has less colour and contrast, by a matrix: what brings it back leaves the range for more than half of
    // all colours. A CDL limits its result to the range, so its table clips nothing, and matches worse.
    [Fact]
    public void Run_SecondaryPale_ClippingDoesNotDecide()
    {
        Random random = new(5);
        SamplePair[] pairs = [.. Enumerable.Range(0, 300).Select(i =>
        {
            double grey = 0.2 + (0.6 * random.NextDouble());
            double[] p = [.. Enumerable.Range(0, 3).Select(_ => Math.Clamp(grey + (0.3 * (random.NextDouble() - 0.5)), 0, 1))];
            double mean = p.Average();
            double[] s = [.. p.Select((v, c) => 0.2 + (0.6 * (mean + (0.6 * (v - mean)) + (0.1 * (p[(c + 1) % 3] - v)))))];
            return new SamplePair($"{i}", $"g{i % 40}", new CodeRgb(p[0], p[1], p[2]), new CodeRgb(s[0], s[1], s[2]));
        })];
        SampleSet set = new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [.. pairs]);

        FitStage.Result result = FitStage.Run(set, null, 17, Corrections.Trim.None, TestContext.Current.CancellationToken);

        Assert.True(result.Chosen.Safety.Findings.Single(f => f.Property == LutProperty.ClippedShare).Value > LutSafety.LargestClippedShare);
        Assert.Same(result.Fit.Advised, result.Chosen.Candidate);
        Assert.Empty(result.Warnings);
        Assert.Contains("clip", Assert.Single(VerdictWords.Reasons(new MatchOutcome(set, result.Fit, result.Chosen).Verdict), r => r.StartsWith("Use the LUT with care", StringComparison.Ordinal)), StringComparison.Ordinal);
    }

    // The chart of a phone and a veiled small camera (made: a matrix in light, a veil of 0.06 of white that lies over the
    // darker half more than over the lighter one). What is handed over must not take the veil of the darks on the board for
    // what holds on the greys of the scene, where an even veil is all that can be known.
    [Fact]
    public void Run_ChartWithAVeilThatIsNotEven_DrawsGreysTowardsTheMatrix()
    {
        FitStage.Result result = FitStage.Run(VeiledChart(), null, 17, Corrections.Trim.None, TestContext.Current.CancellationToken);

        Assert.Equal(Corrections.CorrectionKind.Lattice, result.Chosen.Candidate.Correction.Kind);
        Assert.Contains(result.Fit.Warnings, w => w.Contains("is hazy", StringComparison.Ordinal));
    }

    // The chart of a camera that records in log with few colours: taken for a haze, because its black is lifted, until its whole
    // pictures say that it is none.
    [Fact]
    public void Run_ChartOfACameraThatLooksLog_IsNotDrawnTowardsAHaze()
    {
        SampleSet chart = LogChart();
        FitStage.Result haze = FitStage.Run(chart, null, 17, Corrections.Trim.None, TestContext.Current.CancellationToken);
        FitStage.Result log = FitStage.Run(chart with { SecondaryLooksLog = true }, null, 17, Corrections.Trim.None, TestContext.Current.CancellationToken);
        Assert.Contains(haze.Fit.Warnings, w => w.Contains("is hazy", StringComparison.Ordinal));
        Assert.DoesNotContain(log.Fit.Warnings, w => w.Contains("is hazy", StringComparison.Ordinal));
        Assert.NotNull(haze.Fit.VeilOfBoard);
        Assert.Null(log.Fit.VeilOfBoard);
        Assert.True(
            log.Chosen.Candidate.HeldOutOrFitted.Mean < 0.8 * haze.Chosen.Candidate.HeldOutOrFitted.Mean,
            $"{log.Chosen.Candidate.HeldOutOrFitted.Mean} and {haze.Chosen.Candidate.HeldOutOrFitted.Mean}");
    }

    [Fact]
    public void Run_ManyPairsOfASteepStyle_HandsOverNoOtherKindThatIsATenthWorse()
    {
        // The secondary's blacks are crushed: to bring them back is steep beside black, where no sample lies.
        Random random = new(9);
        SamplePair[] pairs = [.. Enumerable.Range(0, 200).Select(i =>
        {
            double[] p = [.. Enumerable.Range(0, 3).Select(_ => 0.25 + (0.6 * random.NextDouble()))];
            double mean = p.Average();
            double[] s = [.. p.Select(v => Math.Pow(Math.Max(0, mean + (0.7 * (v - mean)) - 0.2) / 0.8, 1.6))];
            return new SamplePair($"{i}", $"g{i % 40}", new CodeRgb(p[0], p[1], p[2]), new CodeRgb(s[0], s[1], s[2]));
        })];

        FitStage.Result result = FitStage.Run(
            new SampleSet(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [.. pairs]), null, 33, Corrections.Trim.None, TestContext.Current.CancellationToken);

        Assert.True(result.Chosen.After.Mean <= 1.1 * result.Fit.Advised.Train.Mean + 0.05, $"{result.Chosen.After.Mean} for {result.Fit.Advised.Train.Mean}");
        Assert.Equal(result.Fit.Advised.Correction.Kind, result.Chosen.Candidate.Correction.Kind);
    }

    private static SampleSet LogChart()
    {
        SignalEncoding e = SignalEncoding.Bt709;
        ChartReference chart = ChartReference.Chart24;
        return new SampleSet(e, e, SamplingMethod.Chart,
        [
            .. Enumerable.Range(0, 24).Select(i =>
            {
                CodeRgb p = chart.CodeOf(i, e).Clamped();
                double luma = (0.2126 * p.R) + (0.7152 * p.G) + (0.0722 * p.B), log = 0.09 + (0.66 * Math.Log(1 + (30 * luma)) / Math.Log(31));
                double Of(double channel) => log + (0.55 * (channel - luma));
                return new SamplePair($"patch-{i + 1:00}", $"patch-{i + 1:00}", p, new CodeRgb(Of(p.R), Of(p.G), Of(p.B)));
            }),
        ]);
    }

    private static SampleSet VeiledChart()
    {
        Random random = new(4);
        SignalEncoding e = SignalEncoding.Srgb;
        SamplePair[] pairs = [.. Enumerable.Range(0, 24).Select(i =>
        {
            double[] light = i < 6
                ? [.. Enumerable.Repeat(0.9 * Math.Pow(0.5, i), 3)]
                : [.. Enumerable.Range(0, 3).Select(_ => 0.02 + (0.6 * random.NextDouble()))];
            double veil = 0.03 + (0.06 * random.NextDouble());
            double[] p = [.. light.Select(e.FromScene)], s = [.. light.Select(l => e.FromScene((0.9 * l) + veil))];
            return new SamplePair($"patch-{i + 1:00}", $"patch-{i + 1:00}", new CodeRgb(p[0], p[1], p[2]), new CodeRgb(s[0], s[1], s[2]));
        })];
        return new SampleSet(e, e, SamplingMethod.Chart, [.. pairs]);
    }
}
