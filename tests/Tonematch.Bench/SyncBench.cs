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
        if (args.Length == 3 && args[0] == "pair")
        {
            return Pair(args[1], args[2]);
        }

        if (args.Length > 0 && args[0] == "hours")
        {
            return Hours(
                args.Length > 1 ? double.Parse(args[1], CultureInfo.InvariantCulture) : 1,
                args.Length > 2 ? double.Parse(args[2], CultureInfo.InvariantCulture) : null);
        }

        if (args.Length > 0 && args[0] == "fft")
        {
            return Transforms();
        }

        double scale = args.Length > 0 ? double.Parse(args[0], CultureInfo.InvariantCulture) : 1;
        string only = args.Length > 1 ? args[1] : "";
        bool verbose = args.Length > 2 && args[2] == "v";
        int set = args.Length > 3 ? int.Parse(args[3], CultureInfo.InvariantCulture) : 0;
        List<Outcome> outcomes = [];
        foreach ((string family, int count, Func<int, Case> make) in Families().Where(f => f.Name.StartsWith(only, StringComparison.Ordinal)))
        {
            for (int seed = 0; seed < Math.Max(1, (int)Math.Round(scale * count)); seed++)
            {
                Case made = make(SeedOf(set, family, seed));
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
                        $"{family} {seed}: {result.GetType().Name} conf {c:0.000} err {outcome.Error * 1000:0.000} ms z {e.PeakOverChance:0.0} next {e.NextBest:0.00} at {e.NextBestOffsetSeconds - made.OffsetSeconds:0.0000} pooled {e.PooledOverChance:0.0} halves {e.HalvesOverChance:0.0} windows {e.AgreeingWindows}/{e.Windows} drift err {(result as SyncFound)?.DriftPpm - made.DriftPpm:0.00}+-{e.DriftErrorPpm:0.00} {outcome.Seconds:0.00} s"));
                }
            }
        }

        Print(outcomes);
        return 0;
    }

    // Set 0 is the one the limits were set on, and its families share their rooms; in every other set each family has its own.
    private static int SeedOf(int set, string family, int number) => set == 0
        ? 1000 * (number + 1)
        : 1000 * (1 + number + (200 * (family.Aggregate(7, (h, c) => ((h * 31) + c) % 97) + (100 * set))));

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

    private static IEnumerable<(string Name, int Count, Func<int, Case> Make)> Families()
    {
        static string Kind(int seed) => (seed / 1000 % 3) switch { 0 => "speech", 1 => "music", _ => "claps" };
        yield return ("claps, two places in one room", 50, s => Related(s, "claps", 10, 30));
        yield return ("talk, two places in one room", 50, s => Related(s, "speech", 15, 40));
        yield return ("music, two places in one room", 50, s => Related(s, "music", 15, 40));
        yield return ("different rooms, direct sound damped", 60, s => Related(s, Kind(s), 15, 40, otherRoom: true));
        yield return ("one noisy side, +2 to -3 dB", 50, s => Related(s, s % 2000 == 0 ? "speech" : "music", 20, 40, noiseDb: 2 - (s / 1000 % 6)));
        yield return ("10 s clips", 50, s => Related(s, Kind(s), 10, 10));
        yield return ("drift up to 100 ppm over 10 minutes", 6, s => Related(s, Kind(s), 600, 605, driftPpm: 100, overlap: 0.99));
        yield return ("starts 40 minutes earlier", 3, s => Earlier(s, Kind(s)));
        yield return ("water and hum", 20, s => Related(s, "rushing", 10, 25));
        yield return ("loop with talk on top", 25, s => Related(s, "loop+speech", 20, 40));
        yield return ("loop alone (to be refused)", 20, s => Related(s, "loop", 20, 35) with { OffsetSeconds = null });
        yield return ("unrelated talk", 30, s => Unrelated(s, "speech", "speech"));
        yield return ("unrelated music", 30, s => Unrelated(s, "music", "music"));
        yield return ("unrelated, one clap each", 25, s => Unrelated(s, "clap", "clap"));
        yield return ("unrelated, several claps each", 25, s => Unrelated(s, "claps", "claps"));
        yield return ("unrelated, same mains hum", 15, s => Unrelated(s, "hum", "hum"));
        yield return ("unrelated, one loop each", 15, s => Unrelated(s, "loop", "loop"));
        foreach ((string name, float[] sound, int rate) in RealMaterial())
        {
            yield return ($"real sound, {name}", 15, s => Real(s, sound, rate));
        }
    }

    // Own transform beside MathNet.Numerics, both single precision, processor time, best of several runs.
    private static int Transforms()
    {
        Console.WriteLine("| points | own, ms | MathNet.Numerics, ms | ratio |");
        Console.WriteLine("|---|---|---|---|");
        foreach (int log in new[] { 10, 14, 16, 18, 20, 22 })
        {
            int size = 1 << log;
            const int runs = 6;
            Random random = new(1);
            float[] re = [.. Enumerable.Range(0, size).Select(_ => random.NextSingle())], im = new float[size];
            MathNet.Numerics.Complex32[] points = [.. re.Select(r => new MathNet.Numerics.Complex32(r, 0))];
            FourierTransform transform = FourierTransform.OfSize(size);
            double own = Best(() => transform.Forward(re, im), () =>
            {
                transform.InverseUnscaled(re, im);
                for (int k = 0; k < size; k++)
                {
                    (re[k], im[k]) = (re[k] / size, im[k] / size);
                }
            });
            double other = Best(
                () => MathNet.Numerics.IntegralTransforms.Fourier.Forward(points, MathNet.Numerics.IntegralTransforms.FourierOptions.NoScaling),
                () => Array.Fill(points, new MathNet.Numerics.Complex32(1, 0)));
            Console.WriteLine(FormattableString.Invariant($"| 2^{log} | {own:0.000} | {other:0.000} | {other / own:0.0} |"));

            double Best(Action timed, Action reset)
            {
                double best = double.PositiveInfinity;
                for (int run = 0; run < runs; run++)
                {
                    TimeSpan before = Environment.CpuUsage.TotalTime;
                    int inner = Math.Max(1, (1 << 18) / size);
                    for (int k = 0; k < inner; k++)
                    {
                        timed();
                    }

                    double spent = (Environment.CpuUsage.TotalTime - before).TotalMilliseconds / inner;
                    best = run > 1 ? Math.Min(best, spent) : best;
                    reset();
                }

                return best;
            }
        }

        return 0;
    }

    // Two files: what the program says of them.
    private static int Pair(string primary, string secondary)
    {
        const int rate = 16000;
        MonoSound a = new(Decoded(primary, rate), rate, 0), b = new(Decoded(secondary, rate), rate, 0);
        Stopwatch clock = Stopwatch.StartNew();
        Console.WriteLine(SoundSync.Synchronise(a, b));
        Console.WriteLine(FormattableString.Invariant($"{clock.Elapsed.TotalSeconds:0.00} s"));
        return 0;
    }

    // Speed and memory on hours of sound; the second starts 40 minutes later (or a third of the length) and drifts. It
    // is as long, or a short clip.
    private static int Hours(double hours, double? clipSeconds)
    {
        const int rate = 16000;
        double seconds = hours * 3600, shift = Math.Min(2400, seconds / 3);
        float[] quarter = MadeSound.Mix(MadeSound.Speech(rate, 300, 1), MadeSound.Music(rate, 300, 2), 0.3);
        Random random = new(3);
        float[] all = new float[(int)((seconds + shift) * rate)];
        for (int start = 0; start < all.Length;)
        {
            // Shuffled pieces of five minutes of sound: an hour without an hour's work, and without repeats of a minute.
            int length = Math.Min(all.Length - start, (int)((2 + (6 * random.NextDouble())) * rate)), from = random.Next(quarter.Length - length);
            quarter.AsSpan(from, length).CopyTo(all.AsSpan(start));
            start += length;
        }

        float[] first = MadeRecording.WithNoise(all[..(int)(seconds * rate)], 20, 4);
        float[] second = MadeRecording.WithNoise(MadeRecording.Record(all, rate, shift, clipSeconds ?? (seconds - 1), rate, 18.4), 15, 5);
        MonoSound a = new(first, rate, 0), b = new(second, rate, 0);
        for (int round = 0; round < 2; round++)
        {
            GC.Collect();
            TimeSpan before = Environment.CpuUsage.TotalTime;
            long allocated = GC.GetTotalAllocatedBytes();
            Stopwatch clock = Stopwatch.StartNew();
            SyncResult result = SoundSync.Synchronise(a, b);
            Console.WriteLine(result);
            Console.WriteLine(FormattableString.Invariant(
                $"{hours} h and {second.Length / (double)rate:0} s at {rate} Hz, offset {-shift * (1 + 18.4e-6):0.00000} s, drift 18.4 ppm: {clock.Elapsed.TotalSeconds:0.00} s wall, {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.00} s processor, {(GC.GetTotalAllocatedBytes() - allocated) / 1e6:0} MB allocated, peak working set {Process.GetCurrentProcess().PeakWorkingSet64 / 1e6:0} MB (the sounds themselves: {4.0 * (first.Length + second.Length) / 1e6:0} MB)"));
        }

        return 0;
    }

    private static Case Earlier(int seed, string kind)
    {
        const int rate = 8000;
        float[] source = Source(kind, rate, 3000, seed);
        float[] early = MadeRecording.WithNoise(source[..(2700 * rate)], 20, seed + 1);
        MonoSound primary = new(early, rate, 0), secondary = new(MadeRecording.WithNoise(MadeRecording.Record(source, rate, 2400, 560, rate, 12), 15, seed + 2), rate, 0);
        return new Case("", primary, secondary, -2400 * (1 + 12e-6), 12);
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

    private static Case Related(int seed, string kind, double shortest, double longest, double? noiseDb = null, double driftPpm = 40, double? overlap = null, bool otherRoom = false)
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
        double distanceA = Distance(from, micA);
        double ppm = driftPpm * ((2 * random.NextDouble()) - 1);
        int rateB = random.Next(3) switch { 0 => 16000, 1 => 44100, _ => 48000 };
        if (a > 200)
        {
            rateB = 16000;
        }

        float[] soundA = Heard(source, room, from, micA, rate, seed + 11, random, noiseDb is double n && random.Next(2) == 0 ? n : null);
        if (otherRoom)
        {
            // The second microphone stands in another room, out of sight: its direct sound is 10 dB down.
            room = new MadeRoom(3 + (9 * random.NextDouble()), 4 + (12 * random.NextDouble()), 2.4 + (3 * random.NextDouble()), 0.6 + (0.3 * random.NextDouble()));
            (from, micB) = (Place(), Place());
        }

        float[] soundB = Heard(source, room, from, micB, rate, seed + 12, random, noiseDb, otherRoom ? 0.32 : 1);
        MonoSound primary = new(MadeRecording.Record(soundA, rate, startA, a, rate), rate, 0);
        MonoSound secondary = new(MadeRecording.Record(soundB, rate, startB, b, rateB, ppm), rateB, 0);

        // Heard time t of the source: primary t - startA + travelA; secondary (t - startB + travelB)(1 + ppm).
        double travel = (Distance(from, micB) - distanceA) / SoundTravel.MetresPerSecond;
        double offset = (startA - startB + travel) * (1 + (ppm * 1e-6));
        return new Case("", primary, secondary, offset, ppm);
    }

    private static double Distance((double X, double Y, double Z) a, (double X, double Y, double Z) b) =>
        Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)) + ((a.Z - b.Z) * (a.Z - b.Z)));

    private static float[] Heard(
        float[] source, MadeRoom room, (double X, double Y, double Z) from, (double X, double Y, double Z) mic, int rate, int seed, Random random, double? noiseDb, double direct = 1)
    {
        float[] response = room.Response(rate, from, mic);
        int arrival = (int)(Distance(from, mic) / SoundTravel.MetresPerSecond * rate);
        for (int k = Math.Max(0, arrival - 8); k <= arrival + 9 && direct < 1; k++)
        {
            response[k] *= (float)direct;
        }

        float[] sound = MadeRecording.Convolve(source, response);
        sound = MadeRecording.Coloured(sound, rate, 40 + (160 * random.NextDouble()), 3000 + (4000 * random.NextDouble()));
        sound = MadeRecording.WithNoise(sound, noiseDb ?? (10 + (25 * random.NextDouble())), seed);
        return random.Next(2) == 0 ? MadeRecording.WithAutomaticLevel(sound, rate) : sound;
    }

    private static Case Unrelated(int seed, string kindA, string kindB)
    {
        Random random = new(seed);
        const int rate = 16000;
        double a = 10 + (25 * random.NextDouble()), b = 10 + (25 * random.NextDouble());
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
        (double X, double Y, double Z) from = (1, 1, 1.5), mic = (1 + (2 * random.NextDouble()), 2 + (3 * random.NextDouble()), 1.2);
        float[] far = Heard(sound, room, from, mic, rate, seed + 1, random, null);
        double travel = Distance(from, mic) / SoundTravel.MetresPerSecond;
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
