using System.Numerics;
using System.Runtime.CompilerServices;
using Tonematch.Numerics;
using Tonematch.Sync.Sound.Candidates;

namespace Tonematch.Sync.Sound.Windows;

/// <summary>A candidate line with the height of its phase correlation, summed over windows.</summary>
internal sealed record JudgedLine(OffsetCandidate Line, double MiddleSeconds, int Windows, double MeanExcess, double PeakOverChance)
{
    /// <summary>
    /// Height of the peak of the signed sum of the windows' correlations, relative to other lags; 0 if not computed.
    /// </summary>
    public double PooledOverChance { get; private init; }

    /// <summary>
    /// The same from the first and from the last windows alone, the lower of the two, so that a single event that fits
    /// by accident does not count.
    /// </summary>
    public double HalvesOverChance { get; private init; }

    /// <summary>
    /// The lower of both halves relative to far lags; a repeated rhythm gives equal values at each of its offsets.
    /// </summary>
    public double HalvesOverFar { get; private init; }

    private const double BinSeconds = 0.00025;

    // Limits the influence of a single window.
    private const float MostPerWindow = 40;

    private const double EchoSeconds = 0.06;

    // Height that the highest of many pooled peaks reaches by chance in both halves of the windows.
    private const double ChanceHalves = 3.5;

    // Height that the highest of many bins reaches by chance in one window, above the mean of a bin.
    private const double ChanceExcess = 3.5;

    /// <summary>
    /// How close this line comes to another, 0..1: by total evidence, and by evidence per window minus chance. A line
    /// at the level of chance does not count.
    /// </summary>
    public double Rivalry(JudgedLine best) => Math.Clamp((PeakOverChance - 5.5) / 2, 0, 1) * Math.Clamp(
        Math.Max(PeakOverChance / best.PeakOverChance, (MeanExcess - (ChanceExcess / Math.Sqrt(Windows))) / best.MeanExcess), 0, 1);

    /// <summary>
    /// How close this line comes to another in both halves of the windows, minus chance, 0..1. A line within 60 ms is
    /// probably an echo of the same moment and counts half.
    /// </summary>
    public double PooledRivalry(JudgedLine best) => (best.IsNear(this, EchoSeconds) ? 0.5 : 1)
        * Math.Clamp((HalvesOverFar - ChanceHalves) / Math.Max(1, best.HalvesOverFar - ChanceHalves), 0, 1);

    /// <summary>Whether both lines agree in the middle of this one.</summary>
    public bool IsNear(JudgedLine other, double seconds) =>
        Math.Abs(other.Line.OffsetAt(MiddleSeconds) - Line.OffsetAt(MiddleSeconds)) <= seconds;

    /// <summary>The best line near a candidate and the best one that differs from it by more than <paramref name="apartSeconds"/>.</summary>
    public static IEnumerable<JudgedLine> Judge(AlignedWindows windows, double maximumDriftPpm, double apartSeconds)
    {
        float[][] bins = [.. Enumerable.Range(0, windows.Count).Select(w => Bins(windows, w))];
        int middle = bins[0].Length / 2;
        double centre = Enumerable.Range(0, windows.Count).Average(windows.At);
        double span = windows.At(windows.Count - 1) - windows.At(0);
        double rangePpm = Math.Min(windows.Line.DriftDoubtPpm, maximumDriftPpm + Math.Abs(windows.Line.DriftPpm));
        double stepPpm = span > 0 ? 2 * BinSeconds / span * 1e6 : double.PositiveInfinity;
        int steps = double.IsFinite(stepPpm) ? (int)Math.Min(2000, Math.Floor(rangePpm / stepPpm)) : 0;
        int mostBin = (int)(0.05 / BinSeconds);
        double bestSum = double.NegativeInfinity;
        int bestBin = 0;
        double bestPpm = 0;
        float[] sums = new float[(2 * mostBin) + 1];
        for (int step = -steps; step <= steps; step++)
        {
            double ppm = step * stepPpm;
            ppm = double.IsNaN(ppm) ? 0 : ppm;
            SumAt(ppm);
            for (int k = 0; k < sums.Length; k++)
            {
                if (sums[k] > bestSum)
                {
                    (bestSum, bestBin, bestPpm) = (sums[k], k - mostBin, ppm);
                }
            }
        }

        // The other bins at the same drift give the level of chance.
        int apart = (int)Math.Ceiling(apartSeconds / BinSeconds);
        List<double> others = [];
        double nextSum = double.NegativeInfinity;
        int nextBin = 0;
        SumAt(bestPpm);
        for (int bin = -mostBin; bin <= mostBin; bin++)
        {
            if (Math.Abs(bin - bestBin) > apart)
            {
                double sum = sums[bin + mostBin];
                others.Add(sum);
                if (sum > nextSum)
                {
                    (nextSum, nextBin) = (sum, bin);
                }
            }
        }

        int n = windows.Count;
        double mean = Median.Of(others);
        double spread = Math.Max(
            Median.Deviation(others, mean),
            0.5 * Math.Sqrt(n));
        PooledPeak pooled = PooledPeak.Find(windows, bestBin * BinSeconds, bestPpm, 2 * stepPpm, Math.Abs(windows.Line.DriftPpm) + maximumDriftPpm);
        JudgedLine best = Line(bestBin, bestSum);
        yield return best with
        {
            PooledOverChance = pooled.OverChance,
            HalvesOverChance = pooled.HalvesOverChance,
            HalvesOverFar = pooled.HalvesOverFar,
            Line = best.Line with { OffsetSeconds = windows.Line.OffsetAt(centre) + pooled.LagSeconds, DriftPpm = windows.Line.DriftPpm + pooled.Ppm },
        };
        yield return Line(nextBin, nextSum);

        void SumAt(double ppm)
        {
            Array.Clear(sums);
            for (int w = 0; w < bins.Length; w++)
            {
                AddMoved(bins[w], middle - mostBin + (int)Math.Round(ppm * 1e-6 * (windows.At(w) - centre) / BinSeconds), sums);
            }
        }

        JudgedLine Line(int bin, double sum) => new(
            new OffsetCandidate(
                windows.Line.OffsetAt(centre) + (bin * BinSeconds), centre,
                windows.Line.DriftPpm + bestPpm, 2 * stepPpm, windows.Line.Score),
            centre, n, (sum - mean) / n, (sum - mean) / spread);
    }

    /// <summary>Adds values from an index on to sums; those beyond either end count as 0.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void AddMoved(ReadOnlySpan<float> values, int from, Span<float> sums)
    {
        int start = Math.Clamp(-from, 0, sums.Length), end = Math.Clamp(values.Length - from, start, sums.Length);
        Span<float> to = sums[start..end];
        ReadOnlySpan<float> added = values[Math.Clamp(from + start, 0, values.Length)..];
        int k = 0;
        for (; k + Vector<float>.Count <= to.Length; k += Vector<float>.Count)
        {
            (new Vector<float>(to[k..]) + new Vector<float>(added[k..])).CopyTo(to[k..]);
        }

        for (; k < to.Length; k++)
        {
            to[k] += added[k];
        }
    }

    // Heights relative to chance, each the highest of three bins: 0.75 ms.
    private static float[] Bins(AlignedWindows windows, int window)
    {
        int half = (int)((windows.MostLag / (double)windows.Rate / BinSeconds) - 1);
        float[] single = new float[(2 * half) + 1];
        float[] heights = windows.HeightsOverChance(window);
        for (int k = 0; k < heights.Length; k++)
        {
            int bin = half + (int)Math.Round((k - windows.MostLag) / (double)windows.Rate / BinSeconds);
            if (bin >= 0 && bin < single.Length)
            {
                single[bin] = Math.Max(single[bin], Math.Min(MostPerWindow, heights[k]));
            }
        }

        float[] bins = new float[single.Length];
        for (int k = 0; k < bins.Length; k++)
        {
            bins[k] = Math.Max(single[k], Math.Max(single[Math.Max(0, k - 1)], single[Math.Min(k + 1, bins.Length - 1)]));
        }

        return bins;
    }
}
