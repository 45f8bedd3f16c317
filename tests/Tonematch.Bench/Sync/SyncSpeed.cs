using System.Diagnostics;
using Tonematch.Sync;
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
}
