using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Fitting;

public class CorrectionFittingTests
{
    // The accuracy asked of a fit to data without noise.
    private const double Exact = 1e-6;

    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    private static readonly FitOptions s_simpleKinds = new()
    {
        Kinds = [CorrectionKind.Gains, CorrectionKind.LiftGammaGain, CorrectionKind.Cdl, CorrectionKind.Matrix],
    };

    public static TheoryData<string, string> EncodingPairs => new()
    {
        { "bt709", "bt709" },
        { "display-p3", "bt709" },
        { "bt709", "hlg" },
    };

    [Theory]
    [MemberData(nameof(EncodingPairs))]
    public void FitGains_NoiseFreePairs_FindsTheNumbersTo1e6(string secondary, string primary) =>
        AssertFound(new GainsCorrection(Encoding(secondary), Encoding(primary), 0.7, 0.85, 1.1));

    [Theory]
    [MemberData(nameof(EncodingPairs))]
    public void FitLiftGammaGain_NoiseFreePairs_FindsTheNumbersTo1e6(string secondary, string primary) =>
        AssertFound(new LiftGammaGainCorrection(
            Encoding(secondary), Encoding(primary), new(0.03, -0.02, 0.01), new(1.2, 0.9, 1.05), new(0.95, 1.04, 0.9)));

    [Theory]
    [MemberData(nameof(EncodingPairs))]
    public void FitCdl_NoiseFreePairs_FindsTheNumbersTo1e6(string secondary, string primary) =>
        AssertFound(new CdlCorrection(
            Encoding(secondary), Encoding(primary), new(0.9, 1.02, 0.85), new(0.02, -0.015, 0.03), new(1.1, 0.9, 1.2), 0.8));

    [Theory]
    [MemberData(nameof(EncodingPairs))]
    public void FitMatrix_NoiseFreePairsWithAVeil_FindsTheNumbersTo1e6(string secondary, string primary) =>
        AssertFound(new MatrixCorrection(
            Encoding(secondary), Encoding(primary), new Matrix3(0.8, 0.12, 0.02, 0.05, 0.75, 0.1, 0.02, 0.08, 0.7))
        {
            Veil = new SceneRgb(0.03, 0.02, 0.04),
        });

    [Theory]
    [MemberData(nameof(EncodingPairs))]
    public void FitMatrix_NoiseFreePairs_FindsTheNumbersTo1e6(string secondary, string primary) =>
        AssertFound(new MatrixCorrection(
            Encoding(secondary), Encoding(primary), new Matrix3(0.8, 0.12, 0.02, 0.05, 0.75, 0.1, 0.02, 0.08, 0.7)));

    [Fact]
    public void FitRootPolynomial_NoiseFreePairs_FindsTheNumbersTo1e6() => AssertFound(new RootPolynomialCorrection(
        s_bt709, s_bt709, [0.8, 0.05, 0, 0.1, -0.05, 0.02, 0.03, 0.75, 0.05, 0, 0.1, -0.04, 0, 0.05, 0.7, 0.02, 0.05, 0.1]));

    // Many alike pairs are averaged on the way: the numbers in the end must be those of the pairs themselves.
    [Fact]
    public void FitMatrix_ManyNoiseFreePairs_FindsTheNumbersTo1e6() => AssertFound(
        new MatrixCorrection(s_bt709, s_bt709, new Matrix3(0.9, 0.1, -0.02, 0.05, 0.85, 0.03, 0.01, -0.1, 1.1)), pairs: 1500);

    // Least squares that takes a noisy secondary as exact shrinks chroma towards 0 by variance / (variance + noise):
    // 'regression dilution' (W. A. Fuller, Measurement Error Models, 1987, 1.1). CIEDE2000 itself counts a step less where
    // there is more chroma, noise included, so some of the loss stays.
    [Fact]
    public void FitMatrix_SecondaryAsNoisyAsThePrimary_LosesLessSaturationThanPlainLeastSquares()
    {
        const double spread = 0.04, noise = 0.014;
        MatrixCorrection known = new(s_bt709, s_bt709, new Matrix3(1.2, -0.1, -0.1, -0.1, 1.2, -0.1, -0.1, -0.1, 1.2));
        Random random = new(3);
        double Normal() => Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());
        CodeRgb Scattered(CodeRgb c, double by) => new(c.R + (by * Normal()), c.G + (by * Normal()), c.B + (by * Normal()));
        CodeRgb[] colours = [.. Enumerable.Range(0, 500).Select(_ => Scattered(CodeRgb.Grey(0.3 + (0.4 * random.NextDouble())), spread))];
        SampleSet noisy = new(s_bt709, s_bt709, SamplingMethod.Overlap,
            [.. colours.Select((c, i) => new SamplePair($"p{i:D4}", $"g{i:D4}", Scattered(known.Apply(c), noise), Scattered(c, noise)))]);
        Correction found = Fitted(noisy, new FitOptions { Kinds = [CorrectionKind.Matrix] }).Candidates[1].Correction;
        double Chroma(Correction c) => colours.Sum(x => s_bt709.ToLab(c.Apply(x)).Chroma);
        double lost = 1 - (Chroma(found) / Chroma(known)), diluted = noise * noise / ((spread * spread) + (noise * noise));
        Assert.True(Math.Abs(lost) < 0.6 * diluted, $"lost {lost:P1}, dilution {diluted:P1}");
    }

    // Two lights in one picture leave far more than noise can be. A kind that takes all of it for noise moves the colours to
    // wherever they fit, and leaves more than the gains that are contained in it.
    [Fact]
    public void FitRicherKinds_HalfOfThePairsInAnotherLight_LeaveNoMoreThanGains()
    {
        GainsCorrection lamp = new(s_bt709, s_bt709, 0.5, 0.55, 0.6), sun = new(s_bt709, s_bt709, 2, 1.98, 2.88);
        Random random = new(1);
        CodeRgb[] colours = [.. Enumerable.Range(0, 80).Select(_ => Jitter(CodeRgb.Grey(0.05 + (0.5 * random.NextDouble())), 0.03, random))];
        SampleSet lit = MadeColours.PairsOf(lamp, colours, (i, p) => i % 2 == 0 ? sun.Apply(colours[i]).Clamped() : p);
        FitResult result = Fitted(lit, new FitOptions { Kinds = [CorrectionKind.Gains, CorrectionKind.Matrix, CorrectionKind.RootPolynomial] });
        double gains = result.Candidates[1].Train.Mean;
        Assert.All(result.Candidates.Skip(2), c => Assert.True(c.Train.Mean < 1.05 * gains, $"{c.Correction.Kind}: {c.Train.Mean}, gains {gains}"));
    }

    // Its numbers are not unique (a curve before and one after can undo each other), so what it does is compared.
    [Fact]
    public void FitCurvesMatrix_NoiseFreePairs_DoesTheSameToOtherColours()
    {
        CurvesMatrixCorrection known = new(
            s_bt709,
            s_bt709,
            new Matrix3(1.06, -0.03, -0.03, -0.02, 1.04, -0.02, -0.03, -0.03, 1.06),
            new ChannelCurves(new(-0.01, [0.1, -0.1, 0, 0.1]), new(-0.01, [0.1, -0.1, 0, 0.1]), new(-0.01, [0.1, -0.1, 0, 0.1])),
            new Matrix3(0.9, 0.05, 0, 0.05, 0.85, 0.05, 0, 0.1, 0.9),
            new ChannelCurves(new(0.02, [-0.3, 0.2, 0, -0.3]), new(0.02, [-0.3, 0.2, 0, -0.3]), new(0.02, [-0.3, 0.2, 0, -0.3])),
            Matrix3.Identity);
        FitResult result = Fitted(MadeColours.PairsOf(known, MadeColours.Spread(60)), new FitOptions { Kinds = [CorrectionKind.CurvesMatrix] });
        Assert.True(result.Advised.Train.Max < 0.05, $"train {result.Advised.Train.Max}");
        double off = MadeColours.Spread(200, seed: 5).Max(c => Tonematch.Colour.DeltaE.DeltaE2000.Between(
            s_bt709.ToLab(known.Apply(c)), s_bt709.ToLab(result.Advised.Correction.Apply(c))));
        Assert.True(off < 0.2, $"{off}");
    }

    // Light that falls a third less on one side of a chart belongs to the place, not to the colour.
    [Fact]
    public void FitMatrix_ChartInUnevenLight_IsCloserThanWithoutPlacesAndSaysSo()
    {
        MatrixCorrection known = new(s_bt709, s_bt709, new Matrix3(0.8, 0.1, 0.02, 0.05, 0.85, 0.05, 0.02, 0.08, 0.75));
        CodeRgb Uneven(int i, CodeRgb c)
        {
            (double x, double y) = Middle(i);
            double factor = Math.Exp((0.15 * x) + (0.2 * y) - (0.1 * ((x * x) - (7 / 15.0))));
            SceneRgb light = s_bt709.ToScene(c);
            return s_bt709.FromScene(new SceneRgb(light.R * factor, light.G * factor, light.B * factor));
        }

        // The greys in the last row, as on a chart.
        CodeRgb[] colours = [.. MadeColours.Spread(24).OrderBy(c => c.R == c.G && c.G == c.B)];
        Random random = new(5);
        SampleSet even = MadeColours.PairsOf(known, colours, (_, p) => Jitter(p, 0.002, random));
        SampleSet uneven = OnAChart(even.With(even.Pairs.Select((p, i) => p with { Secondary = Uneven(i, p.Secondary) })));
        FitOptions options = new() { Kinds = [CorrectionKind.Matrix] };
        FitResult withPlaces = Fitted(uneven, options), without = Fitted(uneven.With(uneven.Pairs.Select(p => p with { Origin = null })), options);
        double Off(FitResult r) => MadeColours.Spread(200, seed: 5).Average(c => Tonematch.Colour.DeltaE.DeltaE2000.Between(
            s_bt709.ToLab(known.Apply(c)), s_bt709.ToLab(r.Candidates[1].Correction.Apply(c))));
        Assert.True(Off(withPlaces) < 0.5 * Off(without), $"{Off(withPlaces)} with places, {Off(without)} without");
        Assert.Contains(withPlaces.Warnings, w => w.StartsWith("The light falls differently on the chart", StringComparison.Ordinal));
        // Without places it cannot know, and does not say so. (The matrix's veil takes up enough that no single pair stands out.)
        Assert.DoesNotContain(without.Warnings, w => w.StartsWith("The light falls differently", StringComparison.Ordinal));
    }

    [Fact]
    public void Fit_ChartInEvenLight_GivesTheSameNumbersAsWithoutPlaces()
    {
        SampleSet set = Noisy(24);
        FitResult with = Fitted(OnAChart(set)), without = Fitted(set);
        Assert.Equal(without.Warnings, with.Warnings);
        Assert.Equal(without.Advised.Correction.Numbers, with.Advised.Correction.Numbers);
    }

    [Fact]
    public void Fit_PairsInAnotherOrder_GivesTheSameNumbers()
    {
        SampleSet set = Noisy(24);
        FitResult there = Fitted(set);
        FitResult back = Fitted(set.With(set.Pairs.Reverse()));
        Assert.Equal(there.Advised.Correction.Kind, back.Advised.Correction.Kind);
        foreach ((FittedCandidate a, FittedCandidate b) in there.Candidates.Zip(back.Candidates))
        {
            foreach (((string name, double x), (_, double y)) in a.Correction.Numbers.Zip(b.Correction.Numbers))
            {
                Assert.True(Math.Abs(x - y) <= 1e-9, $"{a.Correction.Kind} {name}: {x} and {y}");
            }
        }
    }

    [Fact]
    public void Fit_SecondaryEqualsPrimary_AdvisesDoingNothing()
    {
        FitResult result = Fitted(
            MadeColours.PairsOf(new IdentityCorrection(s_bt709, s_bt709), MadeColours.Spread(24)));
        Assert.Equal(CorrectionKind.Identity, result.Advised.Correction.Kind);
        Assert.Equal(0, result.Before.Max, 1e-9);
    }

    // One standard error lets a kind that follows the noise win about one time in six; then it must change
    // less than can be seen side by side (about 1).
    [Fact]
    public void Fit_OnlyNoiseBetweenTheTwo_AdvisesDoingNothingOrNextToIt()
    {
        int untouched = 0;
        for (int seed = 1; seed <= 8; seed++)
        {
            Random random = new(seed);
            SampleSet set = MadeColours.PairsOf(
                new IdentityCorrection(s_bt709, s_bt709), MadeColours.Spread(24), (_, p) => Jitter(p, 0.01, random));
            Correction advised = Fitted(set, s_simpleKinds).Advised.Correction;
            untouched += advised.Kind == CorrectionKind.Identity ? 1 : 0;
            double change = MadeColours.Spread(200, seed: 99).Average(
                c => Tonematch.Colour.DeltaE.DeltaE2000.Between(s_bt709.ToLab(c), s_bt709.ToLab(advised.Apply(c))));
            Assert.True(change < 1, $"seed {seed}: {advised.Kind} moves colours by {change}");
        }

        Assert.True(untouched >= 4, $"{untouched} of 8");
    }

    [Fact]
    public void Fit_OtherExposureAndWhite_AdvisesGains()
    {
        Random random = new(3);
        SampleSet set = MadeColours.PairsOf(
            new GainsCorrection(s_bt709, s_bt709, 0.6, 0.7, 0.9), MadeColours.Spread(24), (_, p) => Jitter(p, 0.003, random));
        FitResult result = Fitted(set);
        Assert.Equal(CorrectionKind.Gains, result.Advised.Correction.Kind);
        Assert.True(result.Advised.CrossValidated!.Mean < 1, $"{result.Advised.CrossValidated.Mean}");
    }

    [Fact]
    public void Fit_EveryCandidate_ShowsBothFiguresAndTheDifferenceOfEachPair()
    {
        SampleSet set = Noisy(24);
        FitResult result = Fitted(set);
        Assert.Equal(result.Candidates.Select(c => c.Correction.Kind).Order(), result.Candidates.Select(c => c.Correction.Kind));
        foreach (FittedCandidate c in result.Candidates)
        {
            Assert.NotNull(c.CrossValidated);
            Assert.True(c.CrossValidatedStandardError > 0);
            Assert.NotEmpty(c.HowItEnded);
            for (int i = 0; i < set.Pairs.Length; i++)
            {
                double expected = Tonematch.Colour.DeltaE.DeltaE2000.Between(
                    s_bt709.ToLab(set.Pairs[i].Primary), s_bt709.ToLab(c.Correction.Apply(set.Pairs[i].Secondary).Clamped()));
                Assert.Equal(expected, c.PairDeltaE[i], 1e-12);
            }

            Assert.Equal(c.PairDeltaE.Average(), c.Train.Mean, 1e-12);
        }
    }

    [Fact]
    public void Fit_KindsGiven_FitsThoseAlone()
    {
        FitResult result = Fitted(
            Noisy(24), new FitOptions { Kinds = [CorrectionKind.Matrix] });
        Assert.Equal([CorrectionKind.Identity, CorrectionKind.Matrix], result.Candidates.Select(c => c.Correction.Kind));
    }

    [Fact]
    public void Fit_TwoPairs_IsRefusedWithWhatIsMissing()
    {
        NoTrustworthyResultException e = Refused(Noisy(2));
        Assert.Contains("too few", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Fit_OneColourOnly_IsRefusedWithWhatIsMissing()
    {
        SampleSet set = Noisy(12);
        NoTrustworthyResultException e = Refused(set.With(set.Pairs.Select(p => p with { Secondary = new(0.4, 0.41, 0.42), Primary = new(0.5, 0.5, 0.5) })));
        Assert.Contains("one and the same colour", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Fit_EverythingClipped_IsRefusedWithWhatIsMissing()
    {
        SampleSet set = Noisy(12);
        NoTrustworthyResultException e = Refused(set.With(set.Pairs.Select(p => p with { Primary = p.Primary with { R = 1 } })));
        Assert.Contains("clipped", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Fit_NoNumbersAmongThePairs_LeavesThemOutAndSaysSo()
    {
        SampleSet set = Noisy(24);
        SampleSet holes = set.With(set.Pairs.Select((p, i) => i % 6 == 1 ? p with { Primary = p.Primary with { G = double.NaN } } : p));
        FitResult result = Fitted(holes);
        Assert.Contains(result.Warnings, w => w.StartsWith("4 of 24", StringComparison.Ordinal));
        Assert.True(double.IsNaN(result.Advised.PairDeltaE[1]));
        Assert.True(double.IsFinite(result.Advised.PairDeltaE[2]));
    }

    [Fact]
    public void Fit_GreysOnly_SaysWhyTheMatrixIsNotFittedAndFitsTheRest()
    {
        SampleSet set = MadeColours.PairsOf(
            new GainsCorrection(s_bt709, s_bt709, 0.6, 0.7, 0.9), [.. Enumerable.Range(2, 10).Select(i => CodeRgb.Grey(i / 13.0))]);
        FitResult result = Fitted(set);
        Assert.Contains(result.NotFitted, n => n.Kind == CorrectionKind.Matrix && n.Why.Contains("greys", StringComparison.Ordinal));
        Assert.Equal(CorrectionKind.Gains, result.Advised.Correction.Kind);
    }

    [Fact]
    public void Fit_OneGroupForAllPairs_HasNoCrossValidationAndWarns()
    {
        SampleSet set = Noisy(24);
        FitResult result = Fitted(set.With(set.Pairs.Select(p => p with { Group = "one" })));
        Assert.All(result.Candidates, c => Assert.Null(c.CrossValidated));
        Assert.Contains(result.Warnings, w => w.Contains("fewer than three", StringComparison.Ordinal));
        Assert.True(result.Advised.Correction.Kind <= CorrectionKind.Gains);
    }

    [Fact]
    public void Fit_Cancelled_StopsAtOnce()
    {
        using CancellationTokenSource source = new();
        source.Cancel();
        Assert.Throws<OperationCanceledException>(() => Fitted(Noisy(24), cancel: source.Token));
    }

    private static FitResult Fitted(SampleSet set, FitOptions? options = null, CancellationToken? cancel = null) =>
        CorrectionFitting.Fit(set, options ?? FitOptions.Default, cancel ?? TestContext.Current.CancellationToken);

    private static NoTrustworthyResultException Refused(SampleSet set) =>
        Assert.Throws<NoTrustworthyResultException>(() => Fitted(set));

    // Six patches a row, in units of half a row from the middle.
    private static (double X, double Y) Middle(int i) => (((i % 6) - 2.5) / 2.5, ((i / 6) - 1.5) / 2.5);

    private static SampleSet OnAChart(SampleSet set) => set with
    {
        Method = SamplingMethod.Chart,
        Pairs = [.. set.Pairs.Select((p, i) =>
        {
            SamplePlace place = new(300 + (250 * Middle(i).X), 200 + (250 * Middle(i).Y), 60, 60);
            return p with { Origin = new SampleOrigin(0, 0, place, place) };
        })],
    };

    private static SampleSet Noisy(int count)
    {
        Random random = new(11);
        return MadeColours.PairsOf(
            new LiftGammaGainCorrection(s_bt709, s_bt709, new(0.03, 0, 0.01), new(1.2, 0.9, 1.05), new(0.95, 0.98, 0.9)),
            MadeColours.Spread(count),
            (_, p) => Jitter(p, 0.005, random));
    }

    private static CodeRgb Jitter(CodeRgb p, double size, Random random)
    {
        double Next() => size * ((2 * random.NextDouble()) - 1);
        return new CodeRgb(p.R + Next(), p.G + Next(), p.B + Next());
    }

    // Clipped pairs say nothing exact.
    private static bool IsWithin(CodeRgb c) => Math.Min(c.R, Math.Min(c.G, c.B)) > 0.03 && Math.Max(c.R, Math.Max(c.G, c.B)) < 0.97;

    private static SignalEncoding Encoding(string name) => SignalEncoding.TryParse(name, out SignalEncoding? e) ? e : throw new ArgumentException(name);

    private static void AssertFound(Correction known, int pairs = 24)
    {
        FitResult result = Fitted(
            MadeColours.PairsOf(known, [.. MadeColours.Spread(5 * pairs / 2).Where(c => IsWithin(known.Apply(c))).Take(pairs)]), new FitOptions { Kinds = [known.Kind] });
        Correction found = result.Candidates[1].Correction;
        Assert.Equal(known.Kind, result.Advised.Correction.Kind);
        foreach (((string name, double value), (_, double actual)) in known.Numbers.Zip(found.Numbers))
        {
            Assert.True(Math.Abs(value - actual) <= Exact, $"{name}: {actual} instead of {value}; {result.Candidates[1].HowItEnded}");
        }
    }
}
