using System.Diagnostics;
using System.Globalization;
using Tonematch.Shoot;
using Tonematch.Sync;
using Tonematch.Sync.Sound;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench.Shoot;

/// <summary>
/// Random evenings of sound, all clips put on one clock: how many are placed, how exactly, and whether a wrong place is
/// ever called sure.
/// </summary>
internal static class ShootBench
{
    // A frame at 60 a second: farther off is wrong.
    private const double WrongSeconds = 1 / 60.0;

    public static int Run(string[] args)
    {
        switch (args)
        {
            case ["look", "evening", .. string[] rest]:
                Look(Made(Number(rest, 0, 600)));
                return 0;
            case ["look", string seed]:
                Look(MadeEvening.Random((1000 * Number([seed], 0, 0)) + 17));
                return 0;
            case ["random", .. string[] rest]:
                Random(Number(rest, 0, 0), Number(rest, 1, 200));
                return 0;
            case ["evening", .. string[] rest]:
                Evening(Number(rest, 0, 2400));
                return 0;
            case ["film", .. string[] rest]:
                return FilmBench.RunAsync(Number(rest, 0, 2400), rest.ElementAtOrDefault(1)).GetAwaiter().GetResult();
            case ["drift", .. string[] rest]:
                return DriftBench.Run(Number(rest, 0, 20));
            case ["states", .. string[] rest]:
                return StatesBench.Run(Number(rest, 0, 20));
            default:
                Console.Error.WriteLine("shoot random [FIRST SEED] [EVENINGS] | shoot look SEED | shoot look evening [SECONDS] | shoot evening [SECONDS] | shoot film [SECONDS [FOLDER]] | shoot drift [CLIPS] | shoot states [EVENINGS]");
                return 2;
        }
    }

    private static int Number(string[] args, int at, int otherwise) =>
        args.Length > at ? int.Parse(args[at], CultureInfo.InvariantCulture) : otherwise;

    private static void Random(int first, int count)
    {
        List<double> errors = [];
        int clips = 0, reachable = 0, placed = 0, sure = 0, wrong = 0, wrongSure = 0, refused = 0;
        double processor = 0;
        for (int seed = first; seed < first + count; seed++)
        {
            MadeEvening made = MadeEvening.Random((1000 * seed) + 17);
            TimeSpan before = Environment.CpuUsage.TotalTime;
            ShootTimes times = Place(made, out int listened);
            processor += (Environment.CpuUsage.TotalTime - before).TotalSeconds;
            bool[] reach = Reachable(made);
            double zero = made.Starts[times.Clips.Select((c, i) => (c, i)).First(c => c.c.Basis == PlacementBasis.Reference).i];
            refused += times.Refused.Length;
            for (int i = 0; i < made.Clips.Count; i++)
            {
                PlacedClip clip = times.Clips[i];
                clips++;
                reachable += reach[i] ? 1 : 0;
                if (clip.Basis is not (PlacementBasis.Meetings or PlacementBasis.Reference))
                {
                    if (reach[i])
                    {
                        Console.WriteLine($"evening {seed}: {clip.Clip.Name} has no place; {listened} pairs listened to");
                    }

                    continue;
                }

                placed++;
                sure += clip.IsSure ? 1 : 0;

                // Both ends of the clip, so that the rate counts too.
                double error = new[] { 0, clip.Clip.DurationSeconds }
                    .Max(t => Math.Abs(clip.ShootTime(t) - (made.Starts[i] - zero + (t / (1 + (made.RatesPpm[i] * 1e-6))))));
                if (clip.Basis == PlacementBasis.Meetings)
                {
                    errors.Add(error);
                }

                if (error > WrongSeconds)
                {
                    wrong++;
                    wrongSure += clip.IsSure ? 1 : 0;
                    Console.WriteLine(FormattableString.Invariant($"evening {seed}: {clip.Clip.Name} is {error * 1000:0.0} ms off, confidence {clip.Confidence:0.000}, {clip.Meetings.Length} meetings: {string.Join(" ", clip.Doubts)}"));
                }
            }
        }

        errors.Sort();
        Console.WriteLine("| evenings | clips | that meet | placed | called sure | wrong | wrong and called sure | meetings refused | median error ms | 95 % ms | largest ms | processor s an evening |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|---|---|");
        Console.WriteLine(FormattableString.Invariant(
            $"| {count} | {clips} | {reachable} | {placed} | {sure} | {wrong} | {wrongSure} | {refused} | {At(0.5):0.000} | {At(0.95):0.000} | {At(1):0.000} | {processor / count:0.0} |"));

        double At(double part) => errors.Count == 0 ? double.NaN : errors[(int)(part * (errors.Count - 1))] * 1000;
    }

    private static ShootTimes Place(MadeEvening made, out int listened)
    {
        SoundOutline?[] outlines = [.. made.Sounds.Select(s => SoundOutline.Of(s))];
        IReadOnlyList<LikelyMeeting> likely = LikelyMeetings.Find(made.Clips, outlines);
        listened = likely.Count;
        return ShootClock.Solve(made.Clips, ShootListening.Listen(made.Clips, likely, i => made.Sounds[i]));
    }

    // Each likely meeting of one evening: its score, whether it is a true one, and what listening said.
    private static void Look(MadeEvening made)
    {
        Stopwatch clock = Stopwatch.StartNew();
        SoundOutline?[] outlines = [.. made.Sounds.Select(s => SoundOutline.Of(s))];
        Console.WriteLine(FormattableString.Invariant($"outlines {clock.Elapsed.TotalSeconds:0.00} s"));
        clock.Restart();
        IReadOnlyList<LikelyMeeting> likely = LikelyMeetings.Find(made.Clips, outlines);
        Console.WriteLine(FormattableString.Invariant($"search {clock.Elapsed.TotalSeconds:0.00} s"));
        foreach (LikelyMeeting l in likely)
        {
            clock.Restart();
            Meeting? m = MeetingSync.Measure(l, made.Sounds[l.First], made.Sounds[l.Second], new SyncOptions { MinimumConfidence = 0 });
            double off = l.OffsetSeconds - (made.Starts[l.First] - made.Starts[l.Second]);
            Console.WriteLine(FormattableString.Invariant($"{made.Clips[l.First].Name}-{made.Clips[l.Second].Name}: score {l.Score:0.0}, overlap {l.ToSeconds - l.FromSeconds:0.0} s, {(Math.Abs(off) < 0.1 ? "true" : "chance")}, confidence {m?.Sync.Confidence:0.0000}, {clock.Elapsed.TotalSeconds:0.00} s"));
        }

        for (int i = 0; i < made.Clips.Count; i++)
        {
            for (int j = i + 1; j < made.Clips.Count; j++)
            {
                double overlap = Math.Min(made.Starts[i] + made.Clips[i].DurationSeconds, made.Starts[j] + made.Clips[j].DurationSeconds) - Math.Max(made.Starts[i], made.Starts[j]);
                if (made.Clips[i].Camera != made.Clips[j].Camera && overlap > 4 && !likely.Any(l => l.First == i && l.Second == j && Math.Abs(l.OffsetSeconds - (made.Starts[i] - made.Starts[j])) < 0.1))
                {
                    Console.WriteLine(FormattableString.Invariant($"{made.Clips[i].Name}-{made.Clips[j].Name}: overlap {overlap:0.0} s, not found"));
                }
            }
        }
    }

    // Connected to the first clip by overlaps of ten seconds or more.
    private static bool[] Reachable(MadeEvening made)
    {
        int n = made.Clips.Count;
        bool[] reach = new bool[n];
        reach[0] = true;
        for (int round = 0; round < n; round++)
        {
            for (int i = 0; i < n; i++)
            {
                for (int j = 0; j < n && reach[i]; j++)
                {
                    double overlap = Math.Min(made.Starts[i] + made.Clips[i].DurationSeconds, made.Starts[j] + made.Clips[j].DurationSeconds) - Math.Max(made.Starts[i], made.Starts[j]);
                    reach[j] |= made.Clips[i].Camera != made.Clips[j].Camera && overlap >= 10;
                }
            }
        }

        return reach;
    }

    /// <summary>Three cameras, twelve clips, two of them split; C never runs while A does, but while B does. Of 2400 s, or shortened in proportion.</summary>
    internal static MadeEvening Made(double seconds)
    {
        double k = seconds / 2400;
        MadeEvening.Take Take(string camera, double from, double to) => new(camera, k * from, k * to);
        return MadeEvening.Of(seconds,
        [
            Take("A", 10, 620), Take("A", 620, 1180), Take("A", 1700, 2050), Take("A", 2200, 2390),
            Take("B", 40, 700), Take("B", 760, 1400), Take("B", 1400, 1900), Take("B", 2000, 2380),
            Take("C", 1190, 1330), Take("C", 1345, 1500), Take("C", 1520, 1690), Take("C", 2060, 2190),
        ], 5);
    }

    private static void Evening(double seconds)
    {
        MadeEvening made = Made(seconds);
        for (int round = 0; round < 2; round++)
        {
            Stopwatch clock = Stopwatch.StartNew();
            TimeSpan before = Environment.CpuUsage.TotalTime;
            SoundOutline?[] outlines = [.. made.Sounds.Select(s => SoundOutline.Of(s))];
            double outlined = clock.Elapsed.TotalSeconds;
            IReadOnlyList<LikelyMeeting> likely = LikelyMeetings.Find(made.Clips, outlines);
            double searched = clock.Elapsed.TotalSeconds;
            int listened = 0;
            var meetings = ShootListening.Listen(made.Clips, likely, i =>
            {
                listened++;
                return made.Sounds[i];
            });
            ShootTimes times = ShootClock.Solve(made.Clips, meetings);
            Console.WriteLine(FormattableString.Invariant($"outlines {outlined:0.00} s, search {searched - outlined:0.00} s, {listened / 2} of {likely.Count} likely pairs listened to, {meetings.Length} met, in {clock.Elapsed.TotalSeconds - searched:0.00} s; processor {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.0} s"));
            foreach ((PlacedClip clip, int i) in times.Clips.Select((c, i) => (c, i)))
            {
                Console.WriteLine(FormattableString.Invariant($"{clip.Clip.Name}: error {(clip.StartSeconds - made.Starts[i]) * 1000:0.00} ms of {clip.ErrorSeconds * 1000:0.00}, rate {clip.RatePpm - made.RatesPpm[i]:0.0} ppm off, confidence {clip.Confidence:0.0000}, {clip.Meetings.Length} meetings, continues {clip.Continues}"));
            }

            Stopwatch pair = Stopwatch.StartNew();
            SoundSync.Synchronise(made.Sounds[0], made.Sounds[4]);
            Console.WriteLine(FormattableString.Invariant($"the longest pair by itself: {pair.Elapsed.TotalSeconds:0.00} s; loops {string.Join(' ', times.LoopErrorSeconds.Select(e => (e * 1000).ToString("0.0", CultureInfo.InvariantCulture)))} ms; refused {times.Refused.Length}"));
        }
    }
}
