using Tonematch.Colour;
using Tonematch.Matching.Reporting;
using Tonematch.Samples;
using Xunit;

namespace Tonematch.Matching.Tests.Reporting;

public class CameraDifferenceTests
{
    [Fact]
    public void Of_SecondaryWithLessLight_IsThatManyStopsDarkerAndNothingElse()
    {
        CameraDifference d = CameraDifference.Of(Samples(l => new(0.7 * l.R, 0.7 * l.G, 0.7 * l.B)))!;
        Assert.Equal(Math.Log2(0.7), d.ExposureStops, 1e-6);
        Assert.Equal(0, d.WarmerMired, 1e-6);
        Assert.Equal(0, d.GreenerStops, 1e-6);
        Assert.Contains("stop darker", d.Sentence(), StringComparison.Ordinal);
        Assert.Contains("expose it 0.5 stop more", d.NextTime(), StringComparison.Ordinal);
    }

    // CIE 15: illuminant A has x 0.44758, y 0.40745 and a correlated colour temperature of 2856 K (350 mired); D65
    // 6504 K (154 mired). The cubic used is good to 2 K at both.
    [Fact]
    public void Of_SecondaryWhoseWhiteIsIlluminantA_Is196MiredWarmer()
    {
        Matrix3 toRgb = SignalEncoding.Bt709.XyzToRgb;
        Xyz a = new Chromaticity(0.44758, 0.40745).ToXyz();
        (double r, double g, double b) = toRgb.Times(a.X, a.Y, a.Z);
        CameraDifference d = CameraDifference.Of(Samples(l => new(l.R * r / g * 0.5, l.G * 0.5, l.B * b / g * 0.5), from: 0.25, to: 0.75))!;
        Assert.Equal((1e6 / 2856) - (1e6 / 6504), d.WarmerMired, 1.5);
        Assert.Contains("warmer", d.Sentence(), StringComparison.Ordinal);
        Assert.Contains("cooler", d.NextTime(), StringComparison.Ordinal);
    }

    [Fact]
    public void Of_GreenRaisedAlone_IsGreen()
    {
        CameraDifference d = CameraDifference.Of(Samples(l => new(l.R, 1.1 * l.G, l.B)))!;
        Assert.Equal(Math.Log2(1.1), d.GreenerStops, 1e-6);
        Assert.Contains("clearly green", d.Sentence(), StringComparison.Ordinal);
    }

    [Fact]
    public void Of_EqualCameras_HasNothingToSay()
    {
        CameraDifference d = CameraDifference.Of(Samples(l => l))!;
        Assert.Contains("near the primary's", d.Sentence(), StringComparison.Ordinal);
        Assert.Null(d.NextTime());
    }

    [Fact]
    public void Of_TooFewUsableSamples_IsNull() =>
        Assert.Null(CameraDifference.Of(Samples(l => l) with { Pairs = [new SamplePair("a", "a", CodeRgb.Grey(0.5), CodeRgb.Grey(0.5))] }));

    private static SampleSet Samples(Func<SceneRgb, SceneRgb> secondary, double from = 0.2, double to = 0.85)
    {
        Random random = new(1);
        SignalEncoding e = SignalEncoding.Bt709;
        return new SampleSet(e, e, SamplingMethod.Regions, [.. Enumerable.Range(0, 60).Select(i =>
        {
            double level = from + (random.NextDouble() * (to - from));
            CodeRgb p = new(level, level * (0.9 + (0.1 * random.NextDouble())), level * (0.9 + (0.1 * random.NextDouble())));
            return new SamplePair($"s{i}", $"s{i}", p, e.FromScene(secondary(e.ToScene(p))));
        })]);
    }
}
