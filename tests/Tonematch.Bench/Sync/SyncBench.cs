using System.Diagnostics;
using System.Globalization;
using Tonematch.Sync;
using Tonematch.Sync.Sound;

namespace Tonematch.Bench.Sync;

/// <summary>
/// Synchronisation on made cases. Prints a line a case, and tables for each family: how many were found right, found
/// wrong and refused, the errors, and how often a stated confidence was right.
/// </summary>
internal static class SyncBench
{
    // Farther from the truth than this is a wrong offset, whatever the family: a frame at 60 a second.
    private const double WrongSeconds = 0.0167;

    private const string Head = "case";

    private sealed record Outcome(string Family, double Confidence, double? ErrorSeconds, double? DriftErrorPpm, double ProcessorSeconds)
    {
        public bool Right => ErrorSeconds is double e && Math.Abs(e) <= WrongSeconds;

        public bool Sure => Confidence >= new SyncOptions().MinimumConfidence;
    }

    public static int Run(string[] args) => args switch
    {
        ["fft"] => SyncSpeed.Transforms(),
        ["hours", ..] => SyncSpeed.Hours(args.Length > 1 ? Number(args[1]) : 1, args.Length > 2 ? Number(args[2]) : null),
        ["pair", string primary, string secondary] => Pair(primary, secondary),
        ["tables", .. string[] files] => Tables(files),
        ["pictures", .. string[] files] => PicturesBench.RunAsync(files).GetAwaiter().GetResult(),
        ["set", string set, .. string[] rest] => Cases((int)Number(set), rest.Length > 0 ? rest[0] : "", rest.Length > 1 ? Number(rest[1]) : 1),
        _ => Usage(),
    };

    private static double Number(string text) => double.Parse(text, CultureInfo.InvariantCulture);

    private static int Usage()
    {
        Console.Error.WriteLine("sync set NUMBER [FAMILY'S BEGINNING [PART OF THE CASES]] | sync tables FILE... | sync pair FILE FILE | sync pictures FILE... | sync hours [HOURS [CLIP SECONDS]] | sync fft");
        return 2;
    }

    private static int Cases(int set, string only, double part)
    {
        List<Outcome> outcomes = [];
        (string Name, int Count, Func<int, SyncCase> Make)[] families = [.. SyncCases.Families()];
        if (families.Select(f => SeedOf(set, f.Name, 0)).Distinct().Count() != families.Length)
        {
            throw new InvalidOperationException("Two families have the same seeds; rename one.");
        }

        foreach ((string family, int count, Func<int, SyncCase> make) in families.Where(f => f.Name.StartsWith(only, StringComparison.Ordinal)))
        {
            for (int number = 0; number < Math.Max(1, (int)Math.Round(part * count)); number++)
            {
                SyncCase made = make(SeedOf(set, family, number));
                TimeSpan before = Environment.CpuUsage.TotalTime;
                SyncResult result = SoundSync.Synchronise(made.Primary, made.Secondary, new SyncOptions { MinimumConfidence = 0 });
                double seconds = (Environment.CpuUsage.TotalTime - before).TotalSeconds, middle = made.MiddleSeconds;
                SyncFound? found = result as SyncFound;
                SyncEvidence e = found?.Evidence ?? ((SyncRefused)result).Evidence;
                Outcome outcome = new(
                    family, found?.Confidence ?? ((SyncRefused)result).Confidence,
                    found?.SecondaryTime(middle) - (middle + made.OffsetSeconds + (made.DriftPpm * 1e-6 * middle)),
                    found?.DriftPpm - made.DriftPpm, seconds);
                outcomes.Add(outcome);
                Console.WriteLine(string.Join(
                    '\t', Head, outcome.Family, Text(outcome.Confidence), Text(outcome.ErrorSeconds), Text(outcome.DriftErrorPpm), Text(outcome.ProcessorSeconds),
                    FormattableString.Invariant(
                        $"set {set} number {number}: error {outcome.ErrorSeconds * 1000:0.000} of {e.OffsetErrorSeconds * 1000:0.000} ms, peak {e.PeakOverChance:0.0}, next {e.NextBest:0.00} at {(e.NextBestOffsetSeconds - made.OffsetSeconds) * 1000:0.0} ms, together {e.PooledOverChance:0.0}, halves {e.HalvesOverChance:0.0}, windows {e.AgreeingWindows}/{e.Windows}, overlap {e.OverlapSeconds:0.0} s")));
            }
        }

        Print(outcomes);
        return 0;
    }

    private static string Text(double? value) => value?.ToString("R", CultureInfo.InvariantCulture) ?? "";

    // The tables of several runs together: a family at a time is far below any limit on a command's length.
    private static int Tables(string[] files)
    {
        double? Value(string text) => text.Length == 0 ? null : Number(text);
        Print([.. files.SelectMany(File.ReadLines).Select(l => l.Split('\t')).Where(c => c[0] == Head)
            .Select(c => new Outcome(c[1], Number(c[2]), Value(c[3]), Value(c[4]), Number(c[5])))]);
        return 0;
    }

    // Every family of every set has rooms and sounds of its own (hash: FNV-1a, which unlike .NET's is the same in every run).
    private static int SeedOf(int set, string family, int number) =>
        1000 * (1 + number + (200 * (int)((family.Aggregate(2166136261u, (h, c) => (h ^ c) * 16777619u) % 1000) + (1000 * (uint)set))));

    private static void Print(IReadOnlyList<Outcome> outcomes)
    {
        if (outcomes.Count == 0)
        {
            return;
        }

        Console.WriteLine(FormattableString.Invariant(
            $"{outcomes.Count} cases; sure means confidence {new SyncOptions().MinimumConfidence:0.0} or more; wrong means more than {WrongSeconds * 1000:0.0} ms off, or any offset for unrelated sounds."));
        Console.WriteLine("| family | cases | found | refused | found but wrong | refused though right | median error ms | 95 % ms | largest ms | within 1 ms | within 5 ms | drift error ppm, largest | processor s a case |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|---|---|---|");
        foreach (IGrouping<string, Outcome> family in outcomes.GroupBy(o => o.Family).Append(outcomes.GroupBy(_ => "all").First()))
        {
            Outcome[] found = [.. family.Where(o => o.Sure)];
            double[] errors = [.. found.Where(o => o.Right).Select(o => Math.Abs(o.ErrorSeconds!.Value) * 1000).Order()];
            string At(double part) => errors.Length == 0 ? "-" : errors[(int)(part * (errors.Length - 1))].ToString("0.000", CultureInfo.InvariantCulture);
            Console.WriteLine(FormattableString.Invariant(
                $"| {family.Key} | {family.Count()} | {found.Length} | {family.Count() - found.Length} | {found.Count(o => !o.Right)} | {family.Count(o => !o.Sure && o.Right)} | {At(0.5)} | {At(0.95)} | {At(1)} | {errors.Count(e => e <= 1)} | {errors.Count(e => e <= 5)} | {found.Where(o => o.Right).Select(o => Math.Abs(o.DriftErrorPpm!.Value)).DefaultIfEmpty().Max():0.00} | {family.Average(o => o.ProcessorSeconds):0.00} |"));
        }

        Console.WriteLine();
        Console.WriteLine("| stated confidence | cases | mean stated | of them right | share |");
        Console.WriteLine("|---|---|---|---|---|");
        double[] limits = [0, 0.02, 0.2, 0.5, 0.8, 0.9, 0.95, 0.99, 1.0000001];
        for (int k = 0; k + 1 < limits.Length; k++)
        {
            Outcome[] inside = [.. outcomes.Where(o => o.Confidence >= limits[k] && o.Confidence < limits[k + 1])];
            if (inside.Length > 0)
            {
                Console.WriteLine(FormattableString.Invariant(
                    $"| {limits[k]:0.00} to {Math.Min(1, limits[k + 1]):0.00} | {inside.Length} | {inside.Average(o => o.Confidence):0.000} | {inside.Count(o => o.Right)} | {(double)inside.Count(o => o.Right) / inside.Length:0.00} |"));
            }
        }
    }

    // Two files: what the program says of them.
    private static int Pair(string primary, string secondary)
    {
        const int rate = 16000;
        MonoSound a = new(SyncCases.Decoded(primary, rate), rate, 0), b = new(SyncCases.Decoded(secondary, rate), rate, 0);
        Stopwatch clock = Stopwatch.StartNew();
        Console.WriteLine(SoundSync.Synchronise(a, b));
        Console.WriteLine(FormattableString.Invariant($"{clock.Elapsed.TotalSeconds:0.00} s"));
        return 0;
    }
}
