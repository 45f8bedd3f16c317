using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Matching.Words;
using Tonematch.Samples;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Matching.Tests.Words;

public class DifferenceWordsTests
{
    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    private static readonly FitOptions s_simple = new() { Kinds = [CorrectionKind.Gains, CorrectionKind.Matrix] };

    // Source: CIE 15, illuminants A (0.44757, 0.40745; 2856 K, 350.1 mired), D50 (5003 K), D65 (6504 K); a Planckian
    // radiator lies on the locus, daylight about 0.003 above it. Krystek's formula is good to about 1 mired here.
    [Theory]
    [InlineData(0.44757, 0.40745, 350.1, 0.0)]
    [InlineData(0.34567, 0.35850, 199.9, 0.0032)]
    [InlineData(0.31272, 0.32903, 153.8, 0.0032)]
    public void Place_StandardIlluminants_HaveTheirColourTemperature(double x, double y, double mired, double duv)
    {
        (double actualMired, double actualDuv) = WhiteShift.Place(new Chromaticity(x, y));
        Assert.Equal(mired, actualMired, 1.5);
        Assert.Equal(duv, actualDuv, 5e-4);
    }

    [Theory]
    [InlineData(-0.4)]
    [InlineData(0.7)]
    public void Describe_OtherExposure_SaysTheStopsAndWhatToSet(double stops)
    {
        double k = Math.Pow(2, stops);
        CameraDifference d = Describe(l => new SceneRgb(k * l.R, k * l.G, k * l.B));
        Assert.Equal(stops, d.ExposureStops, 0.01);
        Assert.Equal(0, d.White.Mired, 0.5);
        Assert.Equal(0, d.ContrastPercent!.Value, 0.5);
        Assert.Contains(stops < 0 ? "0.4 stop under" : "0.7 stop over", d.Summary, StringComparison.Ordinal);
        Assert.Contains(stops < 0 ? "0.4 stop more" : "0.7 stop less", d.OnTheCamera[0], StringComparison.Ordinal);
        Assert.Single(d.OnTheCamera);
    }

    // Who records in log has chosen less contrast and lifted black, and stops and mired would be read through the wrong curve.
    [Fact]
    public void Describe_ARecordingThatLooksLog_AdvisesNothingAgainstIt()
    {
        SampleSet samples = MadeColours.PairsOf(
            new LiftGammaGainCorrection(s_bt709, s_bt709, PerChannel.All(-0.15), PerChannel.All(1.3), PerChannel.All(0.9)), MadeColours.Spread(60));
        CameraDifference Of(SampleSet set) => DifferenceWords.Describe(set, CorrectionFitting.Fit(set, s_simple, TestContext.Current.CancellationToken));
        Assert.Contains(Of(samples).OnTheCamera, a => a.Contains("contrast", StringComparison.Ordinal));
        CameraDifference log = Of(samples with { SecondaryLooksLog = true });
        Assert.Empty(log.OnTheCamera);
        Assert.DoesNotContain("lower", log.Summary, StringComparison.Ordinal);
        Assert.DoesNotContain("stop", log.Summary, StringComparison.Ordinal);

        // Behind a LUT of the user's own, light is light again, and contrast is the LUT's.
        CameraDifference behind = Of(samples with { IsBehindInput = true });
        Assert.DoesNotContain(behind.OnTheCamera, a => a.Contains("contrast", StringComparison.Ordinal) || a.Contains("saturation", StringComparison.Ordinal) || a.Contains("Black", StringComparison.Ordinal));
        Assert.Contains(behind.OnTheCamera, a => a.StartsWith("Exposure", StringComparison.Ordinal));
    }

    // ITU-R BT.2408 table 1: reference white is at 75 % of HLG and 58 % of PQ. A camera that records white there, beside one that
    // records it at 100 % of BT.709, is exposed alike.
    [Theory]
    [InlineData("bt709", "hlg", 1, 0.75)]
    [InlineData("bt709", "pq", 1, 0.5806)]
    [InlineData("hlg", "bt709", 0.75, 1)]
    [InlineData("pq", "hlg", 0.5806, 0.75)]
    public void Describe_HighDynamicRange_StopsAreCountedFromReferenceWhite(string secondary, string primary, double secondaryWhite, double primaryWhite)
    {
        SignalEncoding s = SignalEncoding.All.Single(e => e.Name == secondary), p = SignalEncoding.All.Single(e => e.Name == primary);
        double sw = s.ToScene(secondaryWhite), pw = p.ToScene(primaryWhite);
        SampleSet samples = new(p, s, SamplingMethod.Given,
        [
            .. Enumerable.Range(1, 12).Select(i => new SamplePair(
                $"grey-{i}", $"grey-{i}", CodeRgb.Grey(p.FromScene(pw * i / 14)), CodeRgb.Grey(s.FromScene(sw * i / 14)))),
        ]);
        CameraDifference d = DifferenceWords.Describe(samples, CorrectionFitting.Fit(samples, s_simple, TestContext.Current.CancellationToken));
        Assert.Equal(0, d.ExposureStops, 0.02);
        Assert.DoesNotContain(d.OnTheCamera, a => a.StartsWith("Exposure", StringComparison.Ordinal));
    }

    [Fact]
    public void Describe_WarmerAndGreener_SaysSoAndTheKelvinToSet()
    {
        // The white that a camera shows when it is set 35 mired too warm: from D65 along the locus, by the standard's points.
        CameraDifference warm = Describe(l => new SceneRgb(1.12 * l.R, l.G, 0.82 * l.B));
        Assert.InRange(warm.White.Mired, 20, 60);
        Assert.Contains("warmer", warm.Summary, StringComparison.Ordinal);
        string setting = Assert.Single(warm.OnTheCamera, a => a.StartsWith("White balance", StringComparison.Ordinal));
        Assert.Contains("cooler", setting, StringComparison.Ordinal);
        double kelvin = double.Parse(setting.Split("example ")[1].Split(' ')[0], System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal((1e6 / 5600) + warm.White.Mired, 1e6 / kelvin, 3.0); // written to 100 K

        CameraDifference green = Describe(l => new SceneRgb(l.R, 1.04 * l.G, l.B));
        Assert.True(green.White.Green > 0.001);
        Assert.Contains("green", green.Summary, StringComparison.Ordinal);
        Assert.Contains(green.OnTheCamera, a => a.StartsWith("Tint", StringComparison.Ordinal) && a.Contains("magenta", StringComparison.Ordinal));
    }

    [Fact]
    public void Describe_LessSaturation_SaysThePercent()
    {
        SampleSet set = new(s_bt709, s_bt709, SamplingMethod.Given,
        [
            .. MadeColours.Spread(40).Select((c, i) =>
            {
                Lab lab = s_bt709.ToLab(c);
                return new SamplePair($"{i}", $"{i}", c, s_bt709.FromLab(new Lab(lab.L, 0.85 * lab.A, 0.85 * lab.B)));
            }),
        ]);
        CameraDifference d = DifferenceWords.Describe(set, Fit(set));
        Assert.Equal(-15, d.SaturationPercent!.Value, 2.0);
        Assert.Contains("saturation 1", d.Summary, StringComparison.Ordinal);
        Assert.Contains(d.OnTheCamera, a => a.Contains("more saturation", StringComparison.Ordinal));
    }

    [Fact]
    public void Describe_LowerContrastAndLiftedBlack_SaysBoth()
    {
        SampleSet set = new(s_bt709, s_bt709, SamplingMethod.Given,
            [.. Enumerable.Range(1, 30).Select(i => new SamplePair($"{i}", $"{i}", CodeRgb.Grey(i / 32.0), CodeRgb.Grey(0.1 + (0.85 * i / 32.0))))]);
        CameraDifference d = DifferenceWords.Describe(set, Fit(set));
        Assert.InRange(d.ContrastPercent!.Value, -25, -5);
        Assert.True(d.BlackLift > 2);
        Assert.Null(d.SaturationPercent);
        Assert.Contains("contrast", d.Summary, StringComparison.Ordinal);
        Assert.Contains("lower", d.Summary, StringComparison.Ordinal);
        Assert.Contains("lighter", d.Summary, StringComparison.Ordinal);
    }

    [Fact]
    public void Describe_NothingBetweenThem_SaysSoAndSetsNothing()
    {
        CameraDifference d = Describe(l => l);
        Assert.StartsWith("Camera B is set like camera A.", d.Summary, StringComparison.Ordinal);
        Assert.Empty(d.OnTheCamera);
        Assert.Empty(d.Stubborn);
    }

    [Fact]
    public void Describe_OneColourApart_NamesItAndSaysWhy()
    {
        SampleSet set = Made(l => new SceneRgb(0.8 * l.R, 0.8 * l.G, 0.8 * l.B), 40);
        SamplePair blue = new("blue", "blue", new CodeRgb(0.1, 0.15, 0.6), new CodeRgb(0.12, 0.22, 0.5)) { Label = "curtain" };
        SamplePair white = new("white", "white", new CodeRgb(1, 1, 0.9), new CodeRgb(0.8, 0.8, 0.8));
        SampleSet with = set with { Pairs = [.. set.Pairs, blue, white] };
        CameraDifference d = DifferenceWords.Describe(with, Fit(with));
        Assert.Contains(d.Stubborn, s => s is { PairId: "blue", Name: "curtain", Reason: StubbornReason.Alone or StubbornReason.Mismatched or StubbornReason.Metameric });
        Assert.Contains(d.Stubborn, s => s is { PairId: "white", Reason: StubbornReason.Clipped });
        Assert.Equal(d.Stubborn.OrderByDescending(s => s.DeltaE).Select(s => s.PairId), d.Stubborn.Select(s => s.PairId));
    }

    // The same wrong thing in two frames among many that match: no sensor sees one green in two ways.
    [Fact]
    public void Describe_WrongThingInTwoFrames_IsCalledMismatchedNotTheSensors()
    {
        SampleSet set = Made(l => new SceneRgb(0.8 * l.R, 0.8 * l.G, 0.8 * l.B), 40);
        SamplePair green = set.Pairs.First(p => p.Primary.G > p.Primary.R + 0.1 && p.Primary.G > p.Primary.B + 0.1);
        SampleSet with = set with
        {
            Pairs =
            [
                .. set.Pairs,
                .. Enumerable.Range(0, 8).Select(i => green with { Id = $"right {i}", Group = $"area {i}" }),
                .. Enumerable.Range(0, 2).Select(i => green with { Id = $"wrong {i}", Group = $"other area {i}", Secondary = new CodeRgb(0.4, 0.2, 0.15) }),
            ],
        };
        CameraDifference d = DifferenceWords.Describe(with, Fit(with));
        Assert.All(["wrong 0", "wrong 1"], id => Assert.Equal(StubbornReason.Mismatched, d.Stubborn.First(s => s.PairId == id).Reason));
    }

    [Fact]
    public void Describe_Zones_AreTheMeansOfTheirPairs()
    {
        SampleSet set = Made(l => new SceneRgb(0.7 * l.R, 0.8 * l.G, 0.8 * l.B), 40);
        FitResult fit = Fit(set);
        CameraDifference d = DifferenceWords.Describe(set, fit);
        ZoneDifference neutrals = Assert.Single(d.Zones, z => z.Name == "neutrals");
        int[] which = [.. Enumerable.Range(0, 40).Where(i => s_bt709.ToLab(set.Pairs[i].Primary).Chroma < 5)];
        Assert.Equal(which.Length, neutrals.Count);
        Assert.Equal(which.Average(i => fit.Candidates[0].PairDeltaE[i]), neutrals.Before, 1e-9);
        Assert.Equal(which.Average(i => fit.Advised.PairDeltaE[i]), neutrals.After, 1e-9);
    }

    // Less than three are chance: nothing is said of skin that was hardly seen.
    [Theory]
    [InlineData(2, false)]
    [InlineData(4, true)]
    public void Describe_ColoursLikeSkin_AreSpokenOfWhereEnoughWereSeen(int count, bool spoken)
    {
        SampleSet set = Made(l => new SceneRgb(0.8 * l.R, 0.8 * l.G, 0.8 * l.B), 40);
        SampleSet without = set with { Pairs = [.. set.Pairs.Where(p => !SkinTones.Contains(s_bt709.ToLab(p.Primary)))] };
        SampleSet with = without with
        {
            Pairs =
            [
                .. without.Pairs,
                .. Enumerable.Range(0, count).Select(i =>
                {
                    CodeRgb skin = s_bt709.FromLab(new Lab(55 + (3 * i), 14, 18));
                    return new SamplePair($"skin{i}", $"skin{i}", skin, s_bt709.FromScene(Dimmed(s_bt709.ToScene(skin))));
                }),
            ],
        };
        Assert.Equal(spoken, DifferenceWords.Describe(with, Fit(with)).Summary.Contains("skin", StringComparison.Ordinal));

        static SceneRgb Dimmed(SceneRgb l) => new(0.8 * l.R, 0.8 * l.G, 0.8 * l.B);
    }

    [Fact]
    public void Describe_FitOfOtherSamples_IsRefused()
    {
        SampleSet set = Made(l => l, 24);
        Assert.Throws<ArgumentException>(() => DifferenceWords.Describe(Made(l => l, 23), Fit(set)));
    }

    private static CameraDifference Describe(Func<SceneRgb, SceneRgb> camera)
    {
        SampleSet set = Made(camera, 32);
        return DifferenceWords.Describe(set, Fit(set));
    }

    private static FitResult Fit(SampleSet set) => CorrectionFitting.Fit(set, s_simple, TestContext.Current.CancellationToken);

    private static SampleSet Made(Func<SceneRgb, SceneRgb> camera, int count) => new(s_bt709, s_bt709, SamplingMethod.Given,
    [
        .. MadeColours.Spread(count).Select((c, i) =>
        {
            CodeRgb primary = new(0.75 * c.R, 0.75 * c.G, 0.75 * c.B);
            return new SamplePair($"p{i:D2}", $"g{i:D2}", primary, s_bt709.FromScene(camera(s_bt709.ToScene(primary))));
        }),
    ]);
}
