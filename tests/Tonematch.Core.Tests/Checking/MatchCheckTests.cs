using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Checking;

public class MatchCheckTests
{
    private static readonly SignalEncoding s_encoding = SignalEncoding.Bt709;

    [Fact]
    public void Evaluate_EqualColours_PassesWithZeroEverywhere()
    {
        CheckResult result = MatchCheck.Evaluate(Clip(60, _ => (0, 0, 0), noise: 0), s_encoding, 1);
        Assert.True(result.Passes);
        Assert.Equal(0, result.All.Max);
        Assert.Empty(result.Steps);
        Assert.Equal(["highlights", "middle", "neutrals", "shadows", "skin"], result.Zones.Keys);
    }

    // The expected numbers are the ones the series was made with.
    [Fact]
    public void Evaluate_ExposureJumpsByHalfAStopAtSecond30_FindsThatStepAndItsSize()
    {
        CheckResult result = MatchCheck.Evaluate(Clip(60, t => (t < 30 ? 0 : 0.5, 0, 0)), s_encoding, 3);
        MatchStep step = Assert.Single(result.Steps);
        Assert.Equal(30, step.PrimarySeconds);
        Assert.Equal(30.5, step.SecondarySeconds);
        Assert.Equal(0.5, step.ExposureStops, 0.02);
        Assert.True(step.IsExposure);
        Assert.False(step.IsWhiteBalance);
        Assert.True(result.OneForAllMean > 1.5, $"{result.OneForAllMean}");
        Assert.True(result.OnePerStateMean < 0.6, $"{result.OnePerStateMean}");
    }

    [Fact]
    public void Evaluate_WhiteBalanceDriftsAwayAndBack_FindsBothSteps()
    {
        CheckResult result = MatchCheck.Evaluate(Clip(90, t => t is >= 30 and < 60 ? (0, 0.3, -0.3) : (0, 0, 0)), s_encoding, 3);
        Assert.Equal([30.0, 60.0], result.Steps.Select(s => s.PrimarySeconds));
        Assert.All(result.Steps, s => Assert.True(s.IsWhiteBalance && !s.IsExposure));
        Assert.Equal(0.3, result.Steps[0].RedGreenStops, 0.02);
        Assert.Equal(0.3, result.Steps[1].BlueGreenStops, 0.02);
    }

    [Fact]
    public void Evaluate_NoiseWithoutSteps_FindsNone()
    {
        for (int seed = 0; seed < 50; seed++)
        {
            Assert.Empty(MatchCheck.Evaluate(Clip(60, _ => (0.2, 0, 0.1), noise: 0.02, seed), s_encoding, 3).Steps);
        }
    }

    [Fact]
    public void Evaluate_OneBadStretchInAGoodMean_DoesNotPass()
    {
        CheckResult result = MatchCheck.Evaluate(Clip(60, t => t >= 56 ? (1.5, 0, 0) : (0, 0, 0)), s_encoding, 3);
        Assert.True(result.All.Mean < 3);
        Assert.False(result.Passes);
    }

    [Fact]
    public void Evaluate_Nothing_IsTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => MatchCheck.Evaluate([], s_encoding, 3));

    // Source: Vrhel, Gershon and Iwan 1994, the skin reflectances without make-up, seen under CIE D65 (2 degrees).
    [Fact]
    public void SkinTones_MeasuredSkin_LiesInside()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> reflectances = CsvTable.Read(SharedData.Require("spectra/reflectances-objects.csv"));
        Dictionary<double, IReadOnlyDictionary<string, string>> observer = ByWavelength("spectra/cie1931-2deg-cmf.csv");
        Dictionary<double, IReadOnlyDictionary<string, string>> lights = ByWavelength("spectra/illuminants.csv");
        string d65 = lights.Values.First().Keys.First(k => k.Contains("D65", StringComparison.Ordinal));
        string[] cmf = [.. observer.Values.First().Keys.Skip(1)];
        string[] skins = [.. reflectances[0].Keys.Where(k => k.StartsWith("Skin --", StringComparison.Ordinal))];
        Assert.NotEmpty(skins);
        foreach (string skin in skins)
        {
            double[] xyz = new double[3], white = new double[3];
            foreach (IReadOnlyDictionary<string, string> row in reflectances)
            {
                double nm = N(row.Values.First());
                if (observer.TryGetValue(nm, out IReadOnlyDictionary<string, string>? o) && lights.TryGetValue(nm, out IReadOnlyDictionary<string, string>? l))
                {
                    for (int c = 0; c < 3; c++)
                    {
                        double power = N(l[d65]) * N(o[cmf[c]]);
                        white[c] += power;
                        xyz[c] += power * N(row[skin]);
                    }
                }
            }

            Lab lab = Lab.FromXyz(
                new Xyz(xyz[0] / white[1], xyz[1] / white[1], xyz[2] / white[1]), new Xyz(white[0] / white[1], 1, white[2] / white[1]));
            Assert.True(SkinTones.Contains(lab), $"{skin}: {lab} C {lab.Chroma:F1} h {lab.HueDegrees:F1}");
        }
    }

    private static Dictionary<double, IReadOnlyDictionary<string, string>> ByWavelength(string file) =>
        CsvTable.Read(SharedData.Require(file)).ToDictionary(r => N(r.Values.First()));

    private static double N(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    // An instant a second; eight colours; light of the secondary changed by stops of exposure, red/green, blue/green.
    private static List<CheckedInstant> Clip(
        int seconds, Func<int, (double Exposure, double RedGreen, double BlueGreen)> difference, double noise = 0.005, int seed = 1)
    {
        Random random = new(seed);
        CodeRgb[] scene =
        [
            new(0.9, 0.88, 0.9), new(0.5, 0.5, 0.5), new(0.2, 0.2, 0.2), new(0.65, 0.5, 0.42),
            new(0.3, 0.5, 0.35), new(0.2, 0.25, 0.5), new(0.6, 0.2, 0.2), new(0.7, 0.65, 0.3),
        ];
        return [.. Enumerable.Range(0, seconds).Select(t => new CheckedInstant(t, t + 0.5,
        [
            .. scene.Select(p =>
            {
                (double e, double rg, double bg) = difference(t);
                SceneRgb light = s_encoding.ToScene(p);
                double n = noise == 0 ? 0 : noise * ((random.NextDouble() * 2) - 1);
                CodeRgb corrected = noise == 0 && (e, rg, bg) == (0, 0, 0) ? p : s_encoding.FromScene(new SceneRgb(
                    light.R * Math.Pow(2, e + rg + n), light.G * Math.Pow(2, e + n), light.B * Math.Pow(2, e + bg + n)));
                return new CheckedColour(p, corrected);
            }),
        ]))];
    }
}
