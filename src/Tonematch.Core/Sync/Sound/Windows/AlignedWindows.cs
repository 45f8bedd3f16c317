using System.Buffers;
using Tonematch.Sync.Sound.Candidates;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Sync.Sound.Windows;

/// <summary>
/// Windows spread over the overlap of two sounds at a candidate line, each with its phase correlation.
/// </summary>
internal sealed class AlignedWindows
{
    private readonly List<(double AtSeconds, float[] Lags, double Noise)> _windows = [];

    private AlignedWindows(OffsetCandidate line, int rate, int mostLag, double from, double to)
    {
        (Line, Rate, MostLag, FromSeconds, ToSeconds) = (line, rate, mostLag, from, to);
    }

    public OffsetCandidate Line { get; }

    public int Rate { get; }

    public int MostLag { get; }

    /// <summary>Overlap on the primary's time line, seconds from its first sample.</summary>
    public double FromSeconds { get; }

    public double ToSeconds { get; }

    public int Count => _windows.Count;

    /// <summary>The windows' pooled spectra; null unless requested.</summary>
    public PooledSpectra? Pool { get; private set; }

    /// <summary>Centre of a window on the primary's time line, seconds from its first sample.</summary>
    public double At(int window) => _windows[window].AtSeconds;

    public float[] Lags(int window) => _windows[window].Lags;

    public double Noise(int window) => _windows[window].Noise;

    // Two short sounds placed over each other correlate by chance within their own length only, and hum does so at
    // every period: so chance is estimated within 10 ms on either side, and never below its value over all lags.
    public float[] HeightsOverChance(int window)
    {
        (_, float[] lags, double noise) = _windows[window];
        int around = (int)(0.010 * Rate), gap = (int)Math.Ceiling(0.00075 * Rate);
        double[] squares = new double[lags.Length + 1];
        for (int k = 0; k < lags.Length; k++)
        {
            squares[k + 1] = squares[k] + ((double)lags[k] * lags[k]);
        }

        float[] heights = new float[lags.Length];
        for (int k = 0; k < lags.Length; k++)
        {
            double left = MeanSquare(k - around, k - gap), right = MeanSquare(k + gap + 1, k + around + 1);
            heights[k] = (float)(Math.Abs(lags[k]) / Math.Sqrt(Math.Max(Math.Max(left, right), noise * noise)));
        }

        return heights;

        double MeanSquare(int from, int to)
        {
            (from, to) = (Math.Clamp(from, 0, lags.Length), Math.Clamp(to, 0, lags.Length));
            return to > from ? (squares[to] - squares[from]) / (to - from) : 0;
        }
    }

    /// <summary>The overlap of two sounds when the second runs along a line.</summary>
    public static (double From, double To) Overlap(MonoSound primary, MonoSound secondary, OffsetCandidate line)
    {
        double slope = 1 + (line.DriftPpm * 1e-6);
        double AtSecondary(double t) => line.AtSeconds + ((t - line.AtSeconds - line.OffsetSeconds) / slope);
        return (Math.Max(0, AtSecondary(0)), Math.Min(primary.DurationSeconds, AtSecondary(secondary.DurationSeconds)));
    }

    /// <summary>Windows of up to 4 s spread over the overlap, where both sounds have the most onsets.</summary>
    public static AlignedWindows Of(SoundPair pair, OffsetCandidate line, int most, double lagSeconds, CancellationToken cancel, bool pooled = false)
    {
        (double from, double to) = Overlap(pair.Primary, pair.Secondary, line);
        int length = LengthFor(to - from, pair.Rate);
        double[] starts = length <= 2 * lagSeconds * pair.Rate
            ? []
            : Starts(pair.PrimaryOnsets, pair.SecondaryOnsets, line, from, to, (double)length / pair.Rate, most);
        return At(pair, line, starts, length, lagSeconds, cancel, pooled);
    }

    /// <summary>
    /// Windows of a given length in samples (a power of two) at given starts on the primary's time line.
    /// </summary>
    public static AlignedWindows At(
        SoundPair pair, OffsetCandidate line, double[] starts, int length, double lagSeconds, CancellationToken cancel, bool pooled = false)
    {
        (double from, double to) = Overlap(pair.Primary, pair.Secondary, line);
        int mostLag = (int)(lagSeconds * pair.Rate);
        AlignedWindows windows = new(line, pair.Rate, mostLag, from, to);
        if (starts.Length == 0)
        {
            return windows;
        }

        PhaseCorrelation correlation = new(pair.Rate, length, tapered: true);
        windows.Pool = pooled ? correlation.NewPool() : null;
        (double, float[], double)[] found = new (double, float[], double)[starts.Length];
        Parallel.For(0, starts.Length, new ParallelOptions { CancellationToken = cancel }, k =>
        {
            // Starting at a whole sample, the primary needs no interpolation if it already has the rate.
            double start = Math.Round(starts[k] * pair.Rate) / pair.Rate;
            float[] a = ArrayPool<float>.Shared.Rent(2 * length), b = ArrayPool<float>.Shared.Rent(2 * length);
            pair.PrimaryReader.Read(start, 1, a.AsSpan(0, length));
            pair.SecondaryReader.Read(start + line.OffsetAt(start), 1 + (line.DriftPpm * 1e-6), b.AsSpan(0, length));
            float[] lags = correlation.Correlate(a.AsSpan(0, 2 * length), b.AsSpan(0, 2 * length), mostLag, out double noise, windows.Pool);
            ArrayPool<float>.Shared.Return(a);
            ArrayPool<float>.Shared.Return(b);
            found[k] = (start + ((double)length / pair.Rate / 2), lags, noise);
        });

        // Digital silence has no phase, so such a window carries no information.
        windows._windows.AddRange(found.Where(w => w.Item3 > 0));
        return windows;
    }

    // 4 s if there is room for two, otherwise the longest power of two that fits.
    private static int LengthFor(double overlapSeconds, int rate)
    {
        int length = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)(4 * rate));
        while (length > 64 && (double)length / rate > overlapSeconds / 2)
        {
            length /= 2;
        }

        return (double)length / rate < 0.9 && 2.0 * length / rate <= overlapSeconds ? 2 * length : length;
    }

    // Windows that overlap by half if that covers everything, otherwise one per slot, where both sounds have the most
    // common onsets.
    private static double[] Starts(
        OnsetEnvelope primary, OnsetEnvelope secondary, OffsetCandidate line, double from, double to, double seconds, int most)
    {
        const int fps = OnsetEnvelope.FramesPerSecond;
        int dense = (int)((to - from - seconds) / (seconds / 2)) + 1;
        if (dense <= most)
        {
            return [.. Enumerable.Range(0, dense).Select(k => from + (dense == 1 ? (to - from - seconds) / 2 : (to - from - seconds) * k / (dense - 1)))];
        }

        int count = most;
        double slot = (to - from - seconds) / count;
        int first = (int)(from * fps), frames = Math.Max(1, (int)((to - from) * fps));
        double[] together = new double[frames + 1];
        for (int f = 0; f < frames; f++)
        {
            int p = first + f, s = p + (int)Math.Round(line.OffsetAt((double)p / fps) * fps);
            double product = p >= 0 && p < primary.Frames && s >= 0 && s < secondary.Frames
                ? Math.Max(0, primary.TotalAt(p)) * Math.Max(0, secondary.TotalAt(s))
                : 0;
            together[f + 1] = together[f] + Math.Min(product, 400);
        }

        double[] starts = new double[count];
        int length = (int)(seconds * fps);
        for (int k = 0; k < count; k++)
        {
            double slotStart = k * slot;
            double best = slotStart + (slot / 2), bestSum = Sum(best);
            for (double at = slotStart; at <= slotStart + slot; at += 0.1)
            {
                if (Sum(at) > bestSum)
                {
                    (best, bestSum) = (at, Sum(at));
                }
            }

            starts[k] = from + best;
        }

        return starts;

        double Sum(double at)
        {
            int a = Math.Clamp((int)(at * fps), 0, frames), b = Math.Clamp(a + length, 0, frames);
            return together[b] - together[a];
        }
    }
}
