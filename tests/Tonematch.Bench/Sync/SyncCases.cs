using System.Diagnostics;
using System.Globalization;
using Tonematch.Sync.Sound;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench.Sync;

/// <summary>Two recordings of one event, or of two, and how the second's time follows from the first's.</summary>
/// <param name="Primary">One recording.</param>
/// <param name="Secondary">The other.</param>
/// <param name="OffsetSeconds">At primary time 0; null when there is no right offset.</param>
/// <param name="DriftPpm">Drift of the second's clock.</param>
internal sealed record SyncCase(MonoSound Primary, MonoSound Secondary, double? OffsetSeconds, double DriftPpm)
{
    /// <summary>Middle of the overlap on the primary's line, seconds.</summary>
    public double MiddleSeconds => OffsetSeconds is double offset
        ? (Math.Max(0, -offset) + Math.Min(Primary.DurationSeconds, Secondary.DurationSeconds - offset)) / 2
        : 0;
}

/// <summary>The families of cases: real and made sounds, two rooms or places, two recorders.</summary>
internal static class SyncCases
{
    public static IEnumerable<(string Name, int Count, Func<int, SyncCase> Make)> Families()
    {
        static string Kind(int seed) => (seed / 1000 % 3) switch { 0 => "speech", 1 => "music", _ => "claps" };
        yield return ("claps, two places in one room", 50, s => Related(s, "claps", 10, 30));
        yield return ("talk, two places in one room", 50, s => Related(s, "speech", 15, 40));
        yield return ("music, two places in one room", 50, s => Related(s, "music", 15, 40));
        yield return ("claps, different rooms", 40, s => Related(s, "claps", 15, 40, otherRoom: true));
        yield return ("talk, different rooms", 40, s => Related(s, "speech", 15, 40, otherRoom: true));
        yield return ("music, different rooms", 40, s => Related(s, "music", 15, 40, otherRoom: true));
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

    private static SyncCase Earlier(int seed, string kind)
    {
        const int rate = 8000;
        float[] source = Source(kind, rate, 3000, seed);
        float[] early = MadeRecording.WithNoise(source[..(2700 * rate)], 20, seed + 1);
        MonoSound primary = new(early, rate, 0), secondary = new(MadeRecording.WithNoise(MadeRecording.Record(source, rate, 2400, 560, rate, 12), 15, seed + 2), rate, 0);
        return new SyncCase(primary, secondary, -2400 * (1 + 12e-6), 12);
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

    private static SyncCase Related(int seed, string kind, double shortest, double longest, double? noiseDb = null, double driftPpm = 40, double? overlap = null, bool otherRoom = false)
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
        return new SyncCase(primary, secondary, offset, ppm);
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

    private static SyncCase Unrelated(int seed, string kindA, string kindB)
    {
        Random random = new(seed);
        const int rate = 16000;
        double a = 10 + (25 * random.NextDouble()), b = 10 + (25 * random.NextDouble());
        MadeRoom room = new(5, 7, 3, 0.7);
        float[] soundA = Heard(Source(kindA, rate, a, seed + 21), room, (1, 1, 1.5), (3, 4, 1.2), rate, seed + 31, random, kindA == "clap" ? 40 : null);
        float[] soundB = Heard(Source(kindB, rate, b, seed + 22), room, (1, 1, 1.5), (3, 4, 1.2), rate, seed + 32, random, kindA == "clap" ? 40 : null);
        return new SyncCase(new MonoSound(soundA, rate, 0), new MonoSound(soundB, rate, 0), null, 0);
    }

    // A real recording cut twice, once through a room and a noisy recorder.
    private static SyncCase Real(int seed, float[] sound, int rate)
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
        return new SyncCase(primary, secondary, startA - startB + travel, 0);
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

    public static float[] Decoded(string file, int rate)
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
