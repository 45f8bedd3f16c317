using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Accuracy;

/// <summary>
/// Real readings: four phones, one light, every phone against every other; 'prophoto' is what each phone's own colour
/// stage makes of its sensor. Two ways: fitted to the 24-patch chart and scored on the 81-patch chart (another picture,
/// so its light and exposure differ as well, unless every phone's second picture is brought to one mean light), or fitted to 27 patches of the 81 and scored on the other 54.
/// </summary>
internal static class PhoneReadings
{
    // ProPhoto RGB (ISO 22028-2) to XYZ D50, and Bradford to D65: the product to linear BT.709, from the published
    // primaries; rounded to six digits.
    private static readonly Matrix3 s_proPhotoToBt709 = ToBt709();

    // Of the 81 patches, white of the 24 at 1: about what the four phones have as they are.
    private const double MeanLight = 0.35;

    public static int Run(ScoreTable table, string own, bool kinds, bool oneChart, bool ownExposure)
    {
        if (SharedData.Find("photos/chart-readings-phones.csv") is not { } path)
        {
            Console.Error.WriteLine("The phones' readings (shared/testdata/photos) are not there.");
            return 3;
        }

        var rows = CsvTable.Read(path).Where(r => r["stage"] == "prophoto").ToArray();
        string[] phones = [.. rows.Select(r => r["phone"]).Distinct()], lights = [.. rows.Select(r => r["light"]).Distinct()];
        Dictionary<string, SceneRgb> light = rows.ToDictionary(r => $"{r["light"]}|{r["chart"]}|{r["phone"]}|{r["patch"]}", r =>
        {
            double N(string name) => double.Parse(r[name], CultureInfo.InvariantCulture);
            (double x, double y, double z) = s_proPhotoToBt709.Times(N("R"), N("G"), N("B"));
            return new SceneRgb(x, y, z);
        });
        int scenario = 0;
        foreach (string l in lights)
        {
            foreach (string primary in phones)
            {
                foreach (string secondary in phones.Where(p => p != primary))
                {
                    // Each phone is exposed so that the white of its 24-patch chart is at 0.85 of the signal's light.
                    CodeRgb Code(string phone, string chart, int patch)
                    {
                        double white = light[$"{l}|24-patch|{phone}|19"].G;
                        if (ownExposure && chart == "81-patch")
                        {
                            white = Enumerable.Range(1, 81).Average(i => light[$"{l}|{chart}|{phone}|{i}"].G) / MeanLight;
                        }

                        SceneRgb s = light[$"{l}|{chart}|{phone}|{patch}"];
                        return SignalEncoding.Bt709.FromScene(new SceneRgb(0.85 * s.R / white, 0.85 * s.G / white, 0.85 * s.B / white)).Clamped();
                    }

                    string chart = oneChart ? "81-patch" : "24-patch";
                    int[] fitted = oneChart ? [.. Enumerable.Range(1, 81).Where(i => i % 3 == 0)] : [.. Enumerable.Range(1, 24)];
                    int[] scored = [.. Enumerable.Range(1, 81).Where(i => !oneChart || i % 3 != 0)];
                    SampleSet set = new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Chart,
                        [.. fitted.Select(i => new SamplePair($"{i:D2}", $"{i:D2}", Code(primary, chart, i), Code(secondary, chart, i)) { Origin = At(i, oneChart ? 9 : 6) })]);
                    void Score(string method, Func<CodeRgb, CodeRgb> map)
                    {
                        double[] d = [.. scored.Select(i => DeltaE2000.Between(
                            SignalEncoding.Bt709.ToLab(Code(primary, "81-patch", i)),
                            SignalEncoding.Bt709.ToLab(map(Code(secondary, "81-patch", i)).Clamped())))];
                        table.Add(method, scenario, [l], d);
                    }

                    foreach ((string name, Func<SampleSet, Func<CodeRgb, CodeRgb>> fit) in Peers.All)
                    {
                        Score(name, fit(set));
                    }

                    FitResult result = CorrectionFitting.Fit(set, FitOptions.Default, CancellationToken.None);
                    Score(own, result.Advised.Correction.Apply);
                    table.Count(result.Advised.Correction.Kind.Name());
                    foreach (FittedCandidate c in kinds ? result.Candidates : [])
                    {
                        Score($"  kind {c.Correction.Kind.Name()}", c.Correction.Apply);
                    }

                    // What these kinds come to when they are fitted to the scored colours themselves.
                    SampleSet answers = set with
                    {
                        Pairs = [.. scored.Select(i => new SamplePair($"{i:D2}", $"{i:D2}", Code(primary, "81-patch", i), Code(secondary, "81-patch", i)))],
                    };
                    FitResult knowing = CorrectionFitting.Fit(
                        answers, new FitOptions { Kinds = [CorrectionKind.Matrix, CorrectionKind.CurvesMatrix] }, CancellationToken.None);
                    foreach (FittedCandidate c in knowing.Candidates.Skip(1))
                    {
                        Score($"{c.Correction.Kind.Name()} that knows the answers", c.Correction.Apply);
                    }

                    scenario++;
                }
            }
        }

        Console.WriteLine($"{scenario} pairs of real phones under {lights.Length} lights: {(oneChart ? "fitted to 27 patches, scored on 54 others of one chart" : "fitted to one chart, scored on another in another picture")}.");
        return 0;
    }

    // Patches are numbered row by row: 4 rows of 6 and 9 of 9.
    private static SampleOrigin At(int patch, int row)
    {
        SamplePlace place = new(100 * ((patch - 1) % row), 100 * ((patch - 1) / row), 60, 60);
        return new SampleOrigin(0, 0, place, place);
    }

    private static Matrix3 ToBt709()
    {
        RgbPrimaries proPhoto = new(new(0.734699, 0.265301), new(0.159597, 0.840403), new(0.036598, 0.000105), Chromaticity.D50);

        // K. M. Lam, 'Metamerism and colour constancy', thesis, Bradford 1985.
        Matrix3 cone = new(0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296);
        Xyz from = Chromaticity.D50.ToXyz(), to = Chromaticity.D65.ToXyz();
        (double fr, double fg, double fb) = cone.Times(from.X, from.Y, from.Z);
        (double tr, double tg, double tb) = cone.Times(to.X, to.Y, to.Z);
        return SignalEncoding.Bt709.XyzToRgb * cone.Inverse() * Matrix3.Diagonal(tr / fr, tg / fg, tb / fb) * cone * proPhoto.RgbToXyz();
    }
}
