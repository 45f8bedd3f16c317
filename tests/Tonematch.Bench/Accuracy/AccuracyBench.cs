using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Formats.Pairs;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Accuracy;

/// <summary>How close each method comes on colours it was not fitted to; see docs/accuracy.md.</summary>
internal static class AccuracyBench
{
    private const string Advised = "TONEMATCH advised";
    private const string Floor = "floor (knows the answers)";

    /// <summary>Options: --scenarios N, --first N, --cameras first|second, --samples chart|clean-chart|uneven-chart|six|noisy|scene|phones|phones-one-chart, --uneven SIZE, --no-places, --own-exposure, --noise N, --pairs N, --mismatched SHARE, --grid, --save FILE, --no-peers, --floor, --kinds.</summary>
    public static int Run(string[] args)
    {
        int scenarios = int.Parse(Option(args, "--scenarios", "100"), CultureInfo.InvariantCulture);
        int first = int.Parse(Option(args, "--first", "0"), CultureInfo.InvariantCulture);
        bool second = Option(args, "--cameras", "second") == "second";
        string samples = Option(args, "--samples", "chart");
        bool floor = args.Contains("--floor"), kinds = args.Contains("--kinds");
        if (SharedData.Find("spectra") is not { } folder)
        {
            Console.Error.WriteLine("The measured spectra (shared/testdata/spectra beside the checkout) are not there.");
            return 3;
        }

        ScoreTable table = new();
        if (samples is "phones" or "phones-one-chart")
        {
            int code = PhoneReadings.Run(table, Advised, kinds, oneChart: samples == "phones-one-chart", ownExposure: args.Contains("--own-exposure"));
            if (code == 0)
            {
                table.Print(Advised, [.. Peers.All.Select(p => p.Name)], Floor);
            }

            return code;
        }

        double noise = double.Parse(Option(args, "--noise", "0.006"), CultureInfo.InvariantCulture);
        int count = int.Parse(Option(args, "--pairs", "400"), CultureInfo.InvariantCulture);
        double mismatched = double.Parse(Option(args, "--mismatched", "0.04"), CultureInfo.InvariantCulture);
        double uneven = double.Parse(Option(args, "--uneven", "0.05"), CultureInfo.InvariantCulture);
        string? save = Option(args, "--save", "") is { Length: > 0 } path ? path : null;
        SimulatedCameras cameras = SimulatedCameras.Read(folder, second);
        if (samples == "scene")
        {
            SceneBench.Run(cameras, first, scenarios, args);
            return 0;
        }

        Console.WriteLine($"{scenarios} simulated pairs ({(second ? "second" : "first")} set of cameras), samples: {samples}, scored on {cameras.ScoredCount} other things.");
        TimeSpan fitting = TimeSpan.Zero;
        for (int s = first; s < first + scenarios; s++)
        {
            SimulatedPair pair = cameras.Pair(s);
            SampleSet set = samples switch
            {
                // White, black, a skin, a red, a green, a blue; other six every time would be as good.
                "six" => pair.Patches(18, 23, 1, 14, 13, 12),
                "noisy" => pair.Samples(count, noise, mismatched, s),
                "clean-chart" => pair.CleanChart,
                "uneven-chart" => pair.UnevenChart(uneven),
                _ => pair.Chart,
            };
            if (args.Contains("--no-places"))
            {
                set = set with { Pairs = [.. set.Pairs.Select(p => p with { Origin = null })] };
            }

            if (save is not null)
            {
                // For timing the whole program on it.
                using StreamWriter writer = new(save);
                PairsCsv.Write(writer, set);
                return 0;
            }

            string[] families = [$"secondary {pair.Secondary.Family}", $"primary {pair.Primary.Family}"];
            void Score(string method, Func<CodeRgb, CodeRgb> map) => table.Add(method, s, families, Differences(pair, map));
            foreach ((string name, Func<SampleSet, Func<CodeRgb, CodeRgb>> fit) in args.Contains("--no-peers") ? Peers.All.Take(1) : Peers.All)
            {
                Score(name, fit(set));
            }

            long start = System.Diagnostics.Stopwatch.GetTimestamp();
            FitResult result = CorrectionFitting.Fit(set, FitOptions.Default, CancellationToken.None);
            fitting += System.Diagnostics.Stopwatch.GetElapsedTime(start);
            Score(Advised, result.Advised.Correction.Apply);
            table.Count(result.Advised.Correction.Kind.Name());
            foreach (FittedCandidate c in kinds ? result.Candidates : [])
            {
                Score($"  kind {c.Correction.Kind.Name()}", c.Correction.Apply);
            }

            if (args.Contains("--grid") && result.Candidates.FirstOrDefault(c => c.Correction is LatticeCorrection)?.Correction is LatticeCorrection lattice)
            {
                foreach (double lambda in (double[])[0.01, 0.1, 1, 10, 100, 1000])
                {
                    Score($"  sparse grid on the lattice's own base, lambda {lambda}", GridSolver.Fit(lattice.Parametric, set, lambda).Apply);
                }
            }

            if (samples == "noisy")
            {
                Score("  advised from 24 clean patches", CorrectionFitting.Fit(pair.Chart, FitOptions.Default, CancellationToken.None).Advised.Correction.Apply);
            }

            if (floor)
            {
                SampleSet answers = new(SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given,
                    [.. pair.ScoredPrimary.Select((p, i) => new SamplePair($"{i}", $"{i}", p, pair.ScoredSecondary[i]))]);
                Score(Floor, Peers.Polynomial4(answers));
            }
        }

        table.Print(Advised, [.. Peers.All.Select(p => p.Name)], Floor);
        Console.WriteLine($"Fitting all kinds with cross-validation: {fitting.TotalSeconds / scenarios:0.000} s a pair of cameras.");
        return 0;
    }

    internal static string Option(string[] args, string name, string otherwise) =>
        Array.IndexOf(args, name) is int i and >= 0 && i + 1 < args.Length ? args[i + 1] : otherwise;

    private static double[] Differences(SimulatedPair pair, Func<CodeRgb, CodeRgb> map)
    {
        SignalEncoding e = SignalEncoding.Bt709;
        double[] d = new double[pair.ScoredPrimary.Length];
        for (int i = 0; i < d.Length; i++)
        {
            d[i] = DeltaE2000.Between(e.ToLab(pair.ScoredPrimary[i]), e.ToLab(map(pair.ScoredSecondary[i]).Clamped()));
        }

        return d;
    }
}
