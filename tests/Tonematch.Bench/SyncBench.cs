using System.Diagnostics;
using System.Globalization;
using Tonematch.Sync;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench;

/// <summary>
/// Synchronisation on made cases: real and made sounds, two rooms or places, two recorders. Prints for each family how
/// many were found right, found wrong and refused, the errors, and how often a stated confidence was right.
/// </summary>
internal static class SyncBench
{
    // Farther from the truth than this is a wrong offset, whatever the family: a frame at 60 a second.
    private const double WrongSeconds = 0.0167;

    private sealed record Case(string Family, MonoSound Primary, MonoSound Secondary, double? OffsetSeconds, double DriftPpm);

    private sealed record Outcome(string Family, SyncResult Result, double? Truth, double DriftPpm, double MiddleSeconds, double Seconds)
    {
        public double? Error => Result is SyncFound f && Truth is double t
            ? f.SecondaryTime(MiddleSeconds) - (MiddleSeconds + t + (DriftPpm * 1e-6 * MiddleSeconds))
            : null;

        public bool Right => Error is double e && Math.Abs(e) <= WrongSeconds;
    }

    public static int Run(string[] args)
    {
        int perFamily = args.Length > 0 && int.TryParse(args[0], CultureInfo.InvariantCulture, out int n) ? n : 30;
        string only = args.Length > 1 ? args[1] : "";
        bool verbose = args.Length > 2;
        List<Outcome> outcomes = [];
        foreach ((string family, Func<int, Case> make) in Families().Where(f => f.Name.StartsWith(only, StringComparison.Ordinal)))
        {
            for (int seed = 0; seed < perFamily; seed++)
            {
                Case made = make(1000 * (outcomes.Count + 1));
                Stopwatch clock = Stopwatch.StartNew();
                SyncResult result = SoundSync.Synchronise(made.Primary, made.Secondary, new SyncOptions { MinimumConfidence = 0 });
                double middle = made.OffsetSeconds is double o ? Middle(made, o) : 0;
                Outcome outcome = new(family, result, made.OffsetSeconds, made.DriftPpm, middle, clock.Elapsed.TotalSeconds);
                outcomes.Add(outcome);
                if (verbose)
                {
                    SyncEvidence e = result is SyncFound f ? f.Evidence : ((SyncRefused)result).Evidence;
                    double c = result is SyncFound g ? g.Confidence : ((SyncRefused)result).Confidence;
                    Console.WriteLine(FormattableString.Invariant(
                        $"{family} {seed}: {result.GetType().Name} conf {c:0.000} err {outcome.Error * 1000:0.000} ms z {e.PeakOverChance:0.0} next {e.NextBest:0.00} at {e.NextBestOffsetSeconds - made.OffsetSeconds:0.0000} windows {e.AgreeingWindows}/{e.Windows} drift err {(result as SyncFound)?.DriftPpm - made.DriftPpm:0.00}+-{e.DriftErrorPpm:0.00} {outcome.Seconds:0.00} s"));
                }
            }
        }

        Print(outcomes);
        return 0;
    }

    private static double Middle(Case made, double offset)
    {
        double from = Math.Max(0, -offset), to = Math.Min(made.Primary.DurationSeconds, made.Secondary.DurationSeconds - offset);
        return (from + to) / 2;
    }

    private static void Print(List<Outcome> outcomes)
    {
        double sure = new SyncOptions().MinimumConfidence;
        Console.WriteLine($"{outcomes.Count} cases; sure means confidence {sure:0.0} or more; wrong means more than {WrongSeconds * 1000:0.0} ms off, or any offset for unrelated sounds.");
        Console.WriteLine("| family | cases | found | refused | found but wrong | median error ms | 95 % ms | largest ms | drift error ppm, largest | s a case |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|");
        foreach (IGrouping<string, Outcome> family in outcomes.GroupBy(o => o.Family).Append(outcomes.GroupBy(_ => "all").First()))
        {
            Outcome[] found = [.. family.Where(o => o.Result is SyncFound f && f.Confidence >= sure)];
            double[] errors = [.. found.Where(o => o.Right).Select(o => Math.Abs(o.Error!.Value) * 1000).Order()];
            double[] drifts = [.. found.Where(o => o.Right).Select(o => Math.Abs(((SyncFound)o.Result).DriftPpm - o.DriftPpm))];
            string At(double part) => errors.Length == 0 ? "-" : errors[(int)(part * (errors.Length - 1))].ToString("0.000", CultureInfo.InvariantCulture);
            Console.WriteLine(FormattableString.Invariant(
                $"| {family.Key} | {family.Count()} | {found.Length} | {family.Count() - found.Length} | {found.Count(o => !o.Right)} | {At(0.5)} | {At(0.95)} | {At(1)} | {(drifts.Length == 0 ? 0 : drifts.Max()):0.00} | {family.Average(o => o.Seconds):0.00} |"));
        }

        Console.WriteLine();
        Console.WriteLine("| stated confidence | cases | of them right |");
        Console.WriteLine("|---|---|---|");
        double[] limits = [0, 0.2, 0.5, 0.8, 0.9, 0.95, 0.99, 1.0000001];
        for (int k = 0; k + 1 < limits.Length; k++)
        {
            Outcome[] inside = [.. outcomes.Where(o => o.Result is SyncFound f && f.Confidence >= limits[k] && f.Confidence < limits[k + 1])];
            Console.WriteLine(FormattableString.Invariant($"| {limits[k]:0.00} to {Math.Min(1, limits[k + 1]):0.00} | {inside.Length} | {inside.Count(o => o.Right)} |"));
        }
    }

    private static IEnumerable<(string Name, Func<int, Case> Make)> Families()
    {
        yield return ("claps, two places in one room", s => Related(s, "claps", 15, 60));
        yield return ("talk, two rooms' worth of echo", s => Related(s, "speech", 15, 90));
        yield return ("music, two places", s => Related(s, "music", 15, 90));
        yield return ("one noisy side", s => Related(s, s % 2000 == 0 ? "speech" : "music", 20, 90, noiseDb: -3 - (s / 1000 % 6)));
        yield return ("10 s clips", s => Related(s, s % 3000 == 0 ? "claps" : s % 2000 == 0 ? "speech" : "music", 10, 10));
        yield return ("minutes of drift", s => Related(s, s % 2000 == 0 ? "speech" : "music", 600, 620, driftPpm: 100, overlap: 0.95));
        yield return ("hum and rushing water", s => Related(s, "rushing", 10, 40));
        yield return ("loop with talk on top", s => Related(s, "loop+speech", 20, 60));
        yield return ("loop alone (must be refused)", s => Related(s, "loop", 20, 60) with { OffsetSeconds = null });
        yield return ("unrelated talk", s => Unrelated(s, "speech", "speech"));
        yield return ("unrelated music", s => Unrelated(s, "music", "music"));
        yield return ("unrelated, a clap each", s => Unrelated(s, "clap", "clap"));
        yield return ("unrelated, claps", s => Unrelated(s, "claps", "claps"));
        yield return ("unrelated, same hum", s => Unrelated(s, "hum", "hum"));
        yield return ("unrelated, loops at one tempo", s => Unrelated(s, "loop", "loop"));
        foreach ((string name, float[] sound, int rate) in RealMaterial())
        {
            yield return ($"real: {name}", s => Real(s, sound, rate));
        }
    }

    private static float[] Source(string kind, int rate, double seconds, int seed) => kind switch
    {
        "claps" => MadeSound.Mix(MadeSound.RandomClaps(rate, seconds, 5, seed), MadeSound.Rushing(rate, seconds, seed + 5), 0.05),
        "clap" => MadeSound.Claps(rate, seconds, [seconds * new Random(seed).NextDouble() * 0.9], seed),
        "speech" => MadeSound.Speech(rate, seconds, seed),
        "music" => MadeSound.Music(rate, seconds, seed),
        "loop" => MadeSound.Loop(rate, seconds, seed),
        "loop+speech" => MadeSound.Mix(MadeSound.Loop(rate, seconds, seed), MadeSound.Speech(rate, seconds, seed + 5), 0.5),
        "hum" => MadeSound.Hum(rate, seconds, seed),
        "rushing" => MadeSound.Mix(MadeSound.Rushing(rate, seconds, seed), MadeSound.Hum(rate, seconds, seed + 5), 0.3),
        _ => throw new ArgumentOutOfRangeException(nameof(kind), kind, "No such sound."),
    };

    private static Case Related(int seed, string kind, double shortest, double longest, double? noiseDb = null, double driftPpm = 0, double? overlap = null)
    {
        Random random = new(seed);
        const int rate = 16000;
        double a = shortest + ((longest - shortest) * random.NextDouble()), b = shortest + ((longest - shortest) * random.NextDouble());
        double shared = Math.Min(a, b) * (overlap ?? (0.5 + (0.5 * random.NextDouble())));
        float[] source = Source(kind, rate, a + b - shared + 4, seed);

        // The recording that starts second begins so that the last or first part is shared.
        bool primaryFirst = random.Next(2) == 0;
        double startA = 2 + (primaryFirst ? 0 : b - shared), startB = 2 + (primaryFirst ? a - shared : 0);
        MadeRoom room = new(4 + (8 * random.NextDouble()), 5 + (10 * random.NextDouble()), 2.5 + (2 * random.NextDouble()), random.NextDouble() < 0.2 ? 0 : 0.4 + (0.45 * random.NextDouble()));
        (double, double, double) Place() => (room.Width * (0.1 + (0.8 * random.NextDouble())), room.Length * (0.1 + (0.8 * random.NextDouble())), room.Height * (0.3 + (0.4 * random.NextDouble())));
        (double X, double Y, double Z) from = Place(), micA = Place(), micB = Place();
        double ppm = driftPpm * ((2 * random.NextDouble()) - 1);
        int rateB = random.Next(3) switch { 0 => 16000, 1 => 44100, _ => 48000 };
        if (a > 200)
        {
            rateB = 16000;
        }

        float[] soundA = Heard(source, room, from, micA, rate, seed + 11, random, noiseDb is double n && random.Next(2) == 0 ? n : null);
        float[] soundB = Heard(source, room, from, micB, rate, seed + 12, random, noiseDb);
        MonoSound primary = new(MadeRecording.Record(soundA, rate, startA, a, rate), rate, 0);
        MonoSound secondary = new(MadeRecording.Record(soundB, rate, startB, b, rateB, ppm), rateB, 0);

        // Heard time t of the source: primary t - startA + travelA; secondary (t - startB + travelB)(1 + ppm).
        double travel = (Distance(from, micB) - Distance(from, micA)) / SoundTravel.MetresPerSecond;
        double offset = (startA - startB + travel) * (1 + (ppm * 1e-6));
        return new Case("", primary, secondary, offset, ppm);
    }

    private static double Distance((double X, double Y, double Z) a, (double X, double Y, double Z) b) =>
        Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)) + ((a.Z - b.Z) * (a.Z - b.Z)));

    private static float[] Heard(
        float[] source, MadeRoom room, (double X, double Y, double Z) from, (double X, double Y, double Z) mic, int rate, int seed, Random random, double? noiseDb)
    {
        float[] sound = MadeRecording.Convolve(source, room.Response(rate, from, mic));
        sound = MadeRecording.Coloured(sound, rate, 40 + (160 * random.NextDouble()), 3000 + (4000 * random.NextDouble()));
        sound = MadeRecording.WithNoise(sound, noiseDb ?? (10 + (25 * random.NextDouble())), seed);
        return random.Next(2) == 0 ? MadeRecording.WithAutomaticLevel(sound, rate) : sound;
    }

    private static Case Unrelated(int seed, string kindA, string kindB)
    {
        Random random = new(seed);
        const int rate = 16000;
        double a = 10 + (80 * random.NextDouble()), b = 10 + (80 * random.NextDouble());
        MadeRoom room = new(5, 7, 3, 0.7);
        float[] soundA = Heard(Source(kindA, rate, a, seed + 21), room, (1, 1, 1.5), (3, 4, 1.2), rate, seed + 31, random, kindA == "clap" ? 40 : null);
        float[] soundB = Heard(Source(kindB, rate, b, seed + 22), room, (1, 1, 1.5), (3, 4, 1.2), rate, seed + 32, random, kindA == "clap" ? 40 : null);
        return new Case("", new MonoSound(soundA, rate, 0), new MonoSound(soundB, rate, 0), null, 0);
    }

    // A real recording cut twice, once through a room and a noisy recorder.
    private static Case Real(int seed, float[] sound, int rate)
    {
        Random random = new(seed);
        double all = (double)sound.Length / rate, shared = all * (0.6 + (0.3 * random.NextDouble())), rest = (all - shared) * random.NextDouble();
        bool primaryFirst = random.Next(2) == 0;
        (double startA, double startB) = primaryFirst ? (0.0, rest) : (rest, 0.0);
        MadeRoom room = new(4, 6, 3, 0.3 + (0.5 * random.NextDouble()));
        float[] far = Heard(sound, room, (1, 1, 1.5), (1.5 + (2 * random.NextDouble()), 5, 1.2), rate, seed + 1, random, null);
        double travel = 0;
        (double X, double Y, double Z) from = (1, 1, 1.5), mic = (1 + (2 * random.NextDouble()), 2 + (3 * random.NextDouble()), 1.2);
        far = Heard(sound, room, from, mic, rate, seed + 1, random, null);
        travel = Distance(from, mic) / SoundTravel.MetresPerSecond;
        MonoSound primary = new(MadeRecording.Record(sound, rate, startA, shared, rate), rate, 0);
        MonoSound secondary = new(MadeRecording.Record(far, rate, startB, shared, rate), rate, 0);
        return new Case("", primary, secondary, startA - startB + travel, 0);
    }

    private static IEnumerable<(string Name, float[] Sound, int Rate)> RealMaterial()
    {
        foreach (string path in new[] { "audio/word-mic-a.wav", "video/flower.mp4", "video/stream.mp4" })
        {
            if (SharedData.Find(path) is string file && Decoded(file, 16000) is { Length: > 16000 } sound)
            {
                yield return (Path.GetFileName(file), sound, 16000);
            }
        }

        foreach (string file in (Environment.GetEnvironmentVariable("TONEMATCH_SOUNDS") ?? "").Split(Path.PathSeparator, StringSplitOptions.RemoveEmptyEntries))
        {
            if (Decoded(file, 16000) is { Length: > 16000 } sound)
            {
                yield return (Path.GetFileName(file), sound, 16000);
            }
        }
    }

    private static float[] Decoded(string file, int rate)
    {
        ProcessStartInfo start = new("ffmpeg") { RedirectStandardOutput = true };
        foreach (string argument in new[] { "-v", "error", "-i", file, "-vn", "-ac", "1", "-ar", rate.ToString(CultureInfo.InvariantCulture), "-f", "f32le", "-" })
        {
            start.ArgumentList.Add(argument);
        }

        using Process process = Process.Start(start)!;
        using MemoryStream bytes = new();
        process.StandardOutput.BaseStream.CopyTo(bytes);
        process.WaitForExit();
        float[] samples = new float[bytes.Length / 4];
        Buffer.BlockCopy(bytes.ToArray(), 0, samples, 0, samples.Length * 4);
        return samples;
    }
}
