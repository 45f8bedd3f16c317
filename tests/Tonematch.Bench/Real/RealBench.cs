using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Bench.Accuracy;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Stages;
using Tonematch.Samples;
using Tonematch.Testing;
using Tonematch.Testing.Simulation;

namespace Tonematch.Bench.Real;

/// <summary>
/// What is handed over, measured on photographs by two real devices: on things that were in no fit. See docs/accuracy.md.
/// </summary>
internal static class RealBench
{
    public const string HandedOver = "TONEMATCH handed over";
    private const string There = "there (3x3 of the same ground)";
    private const int LutSize = 33;

    /// <summary>Options: --parts ground,shared,patches,registered; --scenes NAME,NAME; --kinds; --no-peers; --no-places.</summary>
    public static int Run(string[] args)
    {
        if (SharedData.Find("real-pairs") is not { } folder)
        {
            Console.Error.WriteLine("The measured pairs (shared/testdata/real-pairs beside the checkout) are not there.");
            return 3;
        }

        string[] parts = AccuracyBench.Option(args, "--parts", "ground,shared,patches,registered").Split(',');
        string[] only = AccuracyBench.Option(args, "--scenes", "").Split(',', StringSplitOptions.RemoveEmptyEntries);
        ImmutableArray<RealScene> scenes = [.. RealScene.Read(Path.Combine(folder, "board-scenes.csv")).Where(s => only.Length == 0 || only.Contains(s.Name))];
        foreach (string part in parts)
        {
            foreach (bool exchanged in (bool[])[false, true])
            {
                string direction = exchanged ? "small camera as primary" : "phone as primary";
                switch (part)
                {
                    case "ground":
                        Table($"Fitted to the patches, scored on the ground; {direction}", args, scenes, s =>
                            [new Trial(s.Patches, s.Ground, exchanged, Halves(s.Ground))]);
                        break;
                    case "shared":
                        Table($"Fitted to the patches and half of the ground, scored on its other half (left and right, both ways); {direction}", args, scenes, s =>
                            [.. Halves(s.Ground).Select(h => new Trial([.. s.Patches, .. h.Fit], h.Score, exchanged, [h]))]);
                        break;
                    case "patches":
                        Table($"Half of the patches to the other half (chessboard, both ways); {direction}", args, scenes, s =>
                            [.. Chessboard(s.Patches).Select(h => new Trial(h.Fit, h.Score, exchanged, []))]);
                        break;
                    case "registered":
                        RegisteredPair.Print(Path.Combine(folder, "registered-pair.csv"), exchanged, args);
                        break;
                    default:
                        Console.Error.WriteLine($"There is no part '{part}'.");
                        return 2;
                }
            }
        }

        return 0;
    }

    /// <summary>Every method's map fitted to a set: name, what it gives for a secondary colour.</summary>
    /// <param name="set">The pairs.</param>
    /// <param name="args">The bench's options.</param>
    /// <param name="claim">What is claimed of the correction handed over: mean on unseen colours.</param>
    /// <param name="kind">Which kind is handed over, and which was advised.</param>
    public static List<(string Name, Func<CodeRgb, CodeRgb> Map)> Methods(SampleSet set, string[] args, out double claim, out string kind)
    {
        List<(string, Func<CodeRgb, CodeRgb>)> maps = [];

        // Peers know one encoding only: the secondary's colours are given to them as the primary would encode them.
        IdentityCorrection inPrimary = new(set.SecondaryEncoding, set.PrimaryEncoding);
        SampleSet same = set with
        {
            SecondaryEncoding = set.PrimaryEncoding,
            Pairs = [.. set.Pairs.Select(p => p with { Secondary = inPrimary.Apply(p.Secondary) })],
        };
        foreach ((string name, Func<SampleSet, Func<CodeRgb, CodeRgb>> fit) in args.Contains("--no-peers") ? Peers.All.Take(1) : Peers.All)
        {
            Func<CodeRgb, CodeRgb> peer = fit(same);
            maps.Add((name, c => peer(inPrimary.Apply(c))));
        }

        FitStage.Result result = FitStage.Run(
            args.Contains("--no-places") ? set with { Pairs = [.. set.Pairs.Select(p => p with { Origin = null, Locality = "" })] } : set,
            null,
            LutSize,
            Trim.None,
            CancellationToken.None);
        Lut3D lut = result.Chosen.Lut;
        maps.Add((HandedOver, c => LutInterpolation.Tetrahedral(lut, c)));
        foreach (FittedCandidate candidate in args.Contains("--kinds") ? result.Fit.Candidates.Skip(1) : [])
        {
            maps.Add(($"  kind {candidate.Correction.Kind.Name()}", candidate.Correction.Apply));
        }

        claim = result.Chosen.Candidate.HeldOutOrFitted.Mean;
        CorrectionKind chosen = result.Chosen.Candidate.Correction.Kind, advised = result.Fit.Advised.Correction.Kind;
        kind = chosen == advised ? chosen.Name() : $"{chosen.Name()} (advised {advised.Name()})";
        return maps;
    }

    /// <summary>CIEDE2000 in the primary's encoding, limited as a display limits.</summary>
    public static double Difference(SignalEncoding primary, CodeRgb wanted, CodeRgb got) =>
        DeltaE2000.Between(primary.ToLab(wanted.Clamped()), primary.ToLab(got.Clamped()));

    private static void Table(string title, string[] args, ImmutableArray<RealScene> scenes, Func<RealScene, Trial[]> trials)
    {
        Console.WriteLine();
        Console.WriteLine($"**{title}** (mean CIEDE2000)");
        Dictionary<string, List<double>> rows = [];
        List<string> kinds = [], order = [];
        List<double> claims = [];
        foreach (RealScene scene in scenes)
        {
            Dictionary<string, (double Sum, int Count)> sums = [];
            List<string> kind = [];
            double claim = 0;
            Trial[] all = trials(scene);
            foreach (Trial trial in all)
            {
                SampleSet score = RealScene.Samples(trial.Score, trial.Exchanged);
                void Score(string name, Func<CodeRgb, CodeRgb> map, SampleSet on)
                {
                    (double sum, int count) = sums.GetValueOrDefault(name);
                    sums[name] = (sum + on.Pairs.Sum(p => Difference(on.PrimaryEncoding, p.Primary, map(p.Secondary))), count + on.Pairs.Length);
                    if (!order.Contains(name))
                    {
                        order.Add(name);
                    }
                }

                foreach ((string name, Func<CodeRgb, CodeRgb> map) in Methods(RealScene.Samples(trial.Fit, trial.Exchanged), args, out double claimed, out string chosen))
                {
                    Score(name, map, score);
                    claim += name == HandedOver ? claimed / all.Length : 0;
                    if (name == HandedOver)
                    {
                        kind.Add(chosen);
                    }
                }

                foreach ((ImmutableArray<RealThing> fit, ImmutableArray<RealThing> other) in trial.There)
                {
                    Score(There, Matrix(RealScene.Samples(fit, trial.Exchanged)), RealScene.Samples(other, trial.Exchanged));
                }
            }

            foreach ((string name, (double sum, int count)) in sums)
            {
                rows.TryAdd(name, []);
                rows[name].Add(sum / count);
            }

            claims.Add(claim);
            kinds.Add($"{scene.Name}: {string.Join(", ", kind.Distinct())}");
        }

        Console.WriteLine($"| method | {string.Join(" | ", scenes.Select(s => s.Name))} | mean | median |");
        Console.WriteLine($"|---|{string.Concat(scenes.Select(_ => "---|"))}---|---|");
        foreach (string name in order.Append("TONEMATCH claims"))
        {
            List<double> values = name == "TONEMATCH claims" ? claims : rows[name];
            Console.WriteLine($"| {name} | {string.Join(" | ", values.Select(Text))} | {Text(values.Average())} | {Text(Median(values))} |");
        }

        Console.WriteLine($"Kinds: {string.Join("; ", kinds)}.");
    }

    private static Func<CodeRgb, CodeRgb> Matrix(SampleSet set)
    {
        IdentityCorrection inPrimary = new(set.SecondaryEncoding, set.PrimaryEncoding);
        Func<CodeRgb, CodeRgb> matrix = Peers.All.First(p => p.Name == "3x3 LS").Fit(set with
        {
            SecondaryEncoding = set.PrimaryEncoding,
            Pairs = [.. set.Pairs.Select(p => p with { Secondary = inPrimary.Apply(p.Secondary) })],
        });
        return c => matrix(inPrimary.Apply(c));
    }

    private static (ImmutableArray<RealThing> Fit, ImmutableArray<RealThing> Score)[] Halves(ImmutableArray<RealThing> things)
    {
        double middle = Median([.. things.Select(t => t.X)]);
        ImmutableArray<RealThing> left = [.. things.Where(t => t.X < middle)], right = [.. things.Where(t => t.X >= middle)];
        return [(left, right), (right, left)];
    }

    // The chart's patches lie about 140 apart in six and four rows: neighbours are in different halves.
    private static (ImmutableArray<RealThing> Fit, ImmutableArray<RealThing> Score)[] Chessboard(ImmutableArray<RealThing> patches)
    {
        static bool White(RealThing t)
        {
            int number = int.Parse(t.Id[^2..], CultureInfo.InvariantCulture) - 1;
            return ((number / 6) + (number % 6)) % 2 == 0;
        }

        ImmutableArray<RealThing> white = [.. patches.Where(White)], black = [.. patches.Where(p => !White(p))];
        return [(white, black), (black, white)];
    }

    internal static double Median(IReadOnlyCollection<double> values)
    {
        double[] sorted = [.. values.Order()];
        int n = sorted.Length;
        return n % 2 == 1 ? sorted[n / 2] : (sorted[(n / 2) - 1] + sorted[n / 2]) / 2;
    }

    internal static string Text(double value) => value.ToString("0.00", CultureInfo.InvariantCulture);

    // What is fitted, what is scored, and the halves of the ground by which it is known what one map for it leaves.
    private sealed record Trial(
        ImmutableArray<RealThing> Fit,
        ImmutableArray<RealThing> Score,
        bool Exchanged,
        (ImmutableArray<RealThing> Fit, ImmutableArray<RealThing> Score)[] There);
}
