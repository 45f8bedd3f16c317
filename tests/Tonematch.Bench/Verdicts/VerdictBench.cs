using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Bench.Accuracy;
using Tonematch.Bench.Real;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Words;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Verdicts;

/// <summary>The verdict against the truth: what the correction leaves on things that had no part in it. See docs/accuracy.md.</summary>
internal static class VerdictBench
{
    // The aim: nothing above the first is marked 'use it', nine in ten below the second are.
    private const double Bad = 4;
    private const double Good = 1.5;

    private const int LutSize = 33;

    private static readonly LocalEffects s_small = LocalEffects.None with { PlaceStops = 0.05, Veil = 0.002 }, s_large = LocalEffects.None with { PlaceStops = 0.4, Veil = 0.03 };
    private static readonly LocalEffects s_smallTones = LocalEffects.None with { ToneStops = 0.05, CornerStops = 0.15 }, s_largeTones = LocalEffects.None with { ToneStops = 0.3, CornerStops = 0.8 };

    /// <summary>Options: --scenarios N (simulated pairs), --list (every case).</summary>
    public static int Run(string[] args)
    {
        if (SharedData.Find("real-pairs") is not { } real || SharedData.Find("spectra") is not { } spectra || SharedData.Find("photos") is not { } photos)
        {
            Console.Error.WriteLine("The shared test data (real-pairs, spectra, photos beside the checkout) are not there.");
            return 3;
        }

        int scenarios = int.Parse(AccuracyBench.Option(args, "--scenarios", "24"), CultureInfo.InvariantCulture);
        bool list = args.Contains("--list");
        List<Case> cases = [];
        void Add(Case c)
        {
            cases.Add(c);
            if (list)
            {
                Console.WriteLine($"| {c.Group} | {c.Name} | {Mark(c)} | {(c.Verdict is { } v ? RealBench.Text(v.Figure.Mean) : "-")} | {Truth(c)} | {string.Join(", ", c.Verdict?.Reasons.Select(r => VerdictWords.Name(r.Cause)) ?? [])} |");
            }
        }

        if (list)
        {
            Console.WriteLine("| pairs | case | verdict | figure | truth | reasons |");
            Console.WriteLine("|---|---|---|---|---|---|");
        }

        foreach (RealScene scene in RealScene.Read(Path.Combine(real, "board-scenes.csv")))
        {
            foreach (bool exchanged in (bool[])[false, true])
            {
                string name = $"{scene.Name}{(exchanged ? ", exchanged" : "")}";
                Add(Judged("real, chart only", name, RealScene.Samples(scene.Patches, exchanged), RealScene.Samples(scene.Ground, exchanged)));
                double middle = RealBench.Median([.. scene.Ground.Select(t => t.X)]);
                Add(Judged(
                    "real, chart and half of the ground", name,
                    RealScene.Samples([.. scene.Patches, .. scene.Ground.Where(t => t.X < middle)], exchanged), RealScene.Samples(scene.Ground.Where(t => t.X >= middle), exchanged)));
            }
        }

        SimulatedCameras cameras = SimulatedCameras.Read(spectra, second: true);
        for (int i = 0; i < scenarios; i++)
        {
            SimulatedPair pair = cameras.Pair(i);
            Add(Judged("simulated, chart", $"pair {i}", pair.Chart, Truth(pair)));
            if (i % 6 == 0)
            {
                Add(Judged("simulated, things", $"pair {i}", pair.Samples(200, 0.006, 0.04, i), Truth(pair)));
                SimulatedScene scene = SimulatedScene.Of(pair, i % 12 == 0 ? s_small : s_large, i);
                Add(Judged("simulated, chart and scene, light and veil by place", $"pair {i}", scene.ChartAndKnown, scene.Unseen));
                scene = SimulatedScene.Of(pair, i % 12 == 0 ? s_largeTones : s_smallTones, i);
                Add(Judged("simulated, chart and scene, local tone mapping and vignetting", $"pair {i}", scene.ChartAndKnown, scene.Unseen));
            }
        }

        string[] pictures = [.. Directory.GetFiles(photos).Where(f => Path.GetExtension(f) is ".jpg" or ".png").Order(StringComparer.Ordinal)];
        foreach ((string a, string b) in Unlike(pictures))
        {
            Add(Photographs(a, b));
        }

        Print(cases);
        return 0;
    }

    // Day and night of one place, and pictures of different things.
    private static IEnumerable<(string, string)> Unlike(string[] pictures)
    {
        string Named(string name) => pictures.First(p => Path.GetFileName(p).StartsWith(name, StringComparison.Ordinal));
        yield return (Named("church-day"), Named("church-night"));
        yield return (Named("church-night"), Named("church-day"));
        yield return (Named("church-day"), Named("fence-left"));
        yield return (Named("fence-right"), Named("church-day"));
        yield return (Named("chart-in-hand"), Named("fence-left"));
        yield return (Named("church-night"), Named("chart-daylight-carpet"));
        yield return (Named("fence-left"), Named("chart-office-glare"));
    }

    private static Case Photographs(string a, string b)
    {
        string name = $"{Path.GetFileNameWithoutExtension(a)} / {Path.GetFileNameWithoutExtension(b)}";
        const string group = "photographs of other things or under other light";
        try
        {
            MatchOutcome outcome = MatchJob.MatchAsync(new MatchRequest(a, b), new Progress<StageProgress>(), CancellationToken.None).GetAwaiter().GetResult();
            return new Case(group, name, outcome.Verdict, double.PositiveInfinity);
        }
        catch (NoTrustworthyResultException)
        {
            // Refused before a verdict: nothing to use.
            return new Case(group, name, null, double.PositiveInfinity);
        }
    }

    private static Case Judged(string group, string name, SampleSet fit, SampleSet score)
    {
        FitStage.Result result = FitStage.Run(fit, null, LutSize, Trim.None, CancellationToken.None);
        Lut3D lut = result.Chosen.Lut;
        return new Case(
            group, name, new MatchOutcome(fit, result.Fit, result.Chosen).Verdict,
            score.Pairs.Average(p => RealBench.Difference(score.PrimaryEncoding, p.Primary, LutInterpolation.Tetrahedral(lut, p.Secondary))));
    }

    private static SampleSet Truth(SimulatedPair pair) => new(
        SignalEncoding.Bt709, SignalEncoding.Bt709, SamplingMethod.Given, [.. pair.ScoredPrimary.Select((p, i) => new SamplePair($"{i}", $"{i}", p, pair.ScoredSecondary[i]))]);

    private static void Print(List<Case> cases)
    {
        Console.WriteLine();
        Console.WriteLine("| pairs | cases | truth below 1.5: use it | of | truth 1.5 to 4: use it | of | truth above 4: use it | look first | do not use it, or refused |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|");
        foreach (IGrouping<string, Case> group in cases.GroupBy(c => c.Group))
        {
            Console.WriteLine(Row(group.Key, [.. group]));
        }

        Console.WriteLine(Row("all", cases));
        foreach (Case c in cases.Where(c => (c.Truth > Bad && c.Kind == VerdictKind.Use) || (c.Truth < Good && c.Kind != VerdictKind.Use)))
        {
            Console.WriteLine($"Missed: {c.Group}, {c.Name}: {Mark(c)} with a truth of {Truth(c)} ({string.Join(" ", VerdictWords.Reasons(c.Verdict!))}).");
        }
    }

    private static string Row(string name, IReadOnlyList<Case> of)
    {
        Case[] good = [.. of.Where(c => c.Truth < Good)], between = [.. of.Where(c => c.Truth is >= Good and <= Bad)], bad = [.. of.Where(c => c.Truth > Bad)];
        static int Count(Case[] cases, VerdictKind kind) => cases.Count(c => c.Kind == kind);
        return $"| {name} | {of.Count} | {Count(good, VerdictKind.Use)} | {good.Length} | {Count(between, VerdictKind.Use)} | {between.Length} | {Count(bad, VerdictKind.Use)} | {Count(bad, VerdictKind.LookFirst)} | {Count(bad, VerdictKind.DoNotUse)} |";
    }

    private static string Mark(Case c) => c.Verdict is null ? "refused" : VerdictWords.Mark(c.Kind);

    private static string Truth(Case c) => double.IsFinite(c.Truth) ? RealBench.Text(c.Truth) : "none";

    private sealed record Case(string Group, string Name, Verdict? Verdict, double Truth)
    {
        public VerdictKind Kind => Verdict?.Kind ?? VerdictKind.DoNotUse;
    }
}
