using System.Diagnostics;
using System.Runtime.CompilerServices;
using Tonematch.Numerics;
using Tonematch.Sync;
using Tonematch.Sync.Sound;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench.Sync;

/// <summary>What synchronisation costs: the Fourier transform beside a library's, and hours of sound.</summary>
internal static class SyncSpeed
{
    // Own transform beside MathNet.Numerics, both single precision, processor time, best of several runs.
    public static int Transforms()
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

    // Speed and memory on hours of sound; the second starts 40 minutes later (or a third of the length) and drifts. It
    // is as long, or a short clip.
    public static int Hours(double hours, double? clipSeconds)
    {
        const int rate = 16000;
        double shift = Math.Min(2400, hours * 3600 / 3);
        (MonoSound a, MonoSound b) = Made(rate, hours * 3600, shift, clipSeconds);
        for (int round = 0; round < 2; round++)
        {
            // What the making of the sounds took is given back first.
            GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
            long beside = Environment.WorkingSet, most = beside;
            using Timer watch = new(_ => most = Math.Max(most, Environment.WorkingSet), null, 0, 10);
            TimeSpan before = Environment.CpuUsage.TotalTime;
            long allocated = GC.GetTotalAllocatedBytes();
            Stopwatch clock = Stopwatch.StartNew();
            SyncResult result = SoundSync.Synchronise(a, b);
            Console.WriteLine(result);
            Console.WriteLine(FormattableString.Invariant(
                $"{hours} h and {b.DurationSeconds:0} s at {rate} Hz, offset {-shift * (1 + 18.4e-6):0.00000} s, drift 18.4 ppm: {clock.Elapsed.TotalSeconds:0.00} s wall, {(Environment.CpuUsage.TotalTime - before).TotalSeconds:0.00} s processor, {(GC.GetTotalAllocatedBytes() - allocated) / 1e6:0} MB allocated in passing, working set {beside / 1e6:0} MB with both sounds (2 bytes a sample: {2.0 * (a.Length + b.Length) / 1e6:0} MB), {most / 1e6:0} MB at most"));
        }

        return 0;
    }

    // By itself, so that nothing of it is kept.
    [MethodImpl(MethodImplOptions.NoInlining)]
    private static (MonoSound First, MonoSound Second) Made(int rate, double seconds, double shift, double? clipSeconds)
    {
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
        return (new MonoSound(first, rate, 0), new MonoSound(second, rate, 0));
    }
}
