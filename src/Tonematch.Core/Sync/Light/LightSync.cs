using System.Numerics;
using Tonematch.Numerics;

namespace Tonematch.Sync.Light;

/// <summary>Finds the offset of two silent clips from changes of light and the amount of motion.</summary>
/// <remarks>
/// Both series are resampled to a grid of 10 ms; the change of lightness over 40 ms and the motion, each minus its
/// local mean and divided by its local spread, are correlated over all offsets by Fourier transform. The accuracy is
/// about a frame; drift is not measured. The peak must be far above the rest and above the next best offset, otherwise
/// it is refused.
/// </remarks>
public static class LightSync
{
    private const int GridPerSecond = 100;
    private const int ChangeSteps = 2;
    private const int LocalSteps = 5 * GridPerSecond;
    private const double ShortestSeconds = 4;
    private const double LargestValue = 8;

    // Offsets nearer than this belong to one peak, because motion gives broad peaks.
    private const double PeakSeconds = 0.5;

    /// <summary>Finds the secondary's time offset from the primary.</summary>
    /// <param name="primary">One value per frame, times ascending.</param>
    /// <param name="secondary">One value per frame, times ascending; its rate may differ or vary.</param>
    /// <param name="options">Only <see cref="SyncOptions.MinimumConfidence"/> is used.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="ArgumentException">Times do not ascend, or a value is not finite.</exception>
    public static SyncResult Synchronise(
        IReadOnlyList<LightSample> primary, IReadOnlyList<LightSample> secondary, SyncOptions? options = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        CheckSeries(primary, nameof(primary));
        CheckSeries(secondary, nameof(secondary));
        options ??= new SyncOptions();
        options.Check();
        double shorter = Math.Min(Duration(primary), Duration(secondary));
        if (shorter < ShortestSeconds)
        {
            return new SyncRefused(
                SyncRefusal.TooShort,
                FormattableString.Invariant($"The shorter picture lasts {shorter:0.0} s; without sound at least {ShortestSeconds:0} s are needed."),
                "Give longer clips.", 0, new SyncEvidence());
        }

        (float[] light, float[] motion) a = Grid(primary), b = Grid(secondary);
        if (IsFlat(a) || IsFlat(b))
        {
            return new SyncRefused(
                SyncRefusal.Silent,
                "In at least one of the clips neither the light nor anything in the picture changes.",
                "Film something that both cameras see move, such as a hand clap or a switched lamp.",
                0, new SyncEvidence());
        }

        cancel.ThrowIfCancellationRequested();
        (int first, float[] heights) = Correlation(a, b);
        int best = Array.IndexOf(heights, heights.Max());
        double chance = Median.Deviation(heights.Where((_, k) => k % Math.Max(1, heights.Length / 20000) == 0).Select(h => (double)h));
        double next = 0;
        int nextAt = -1;
        for (int k = 0; k < heights.Length; k++)
        {
            if (Math.Abs(k - best) > PeakSeconds * GridPerSecond && heights[k] > next)
            {
                (next, nextAt) = (heights[k], k);
            }
        }

        double shift = best > 0 && best + 1 < heights.Length ? Parabola.Vertex(heights[best - 1], heights[best], heights[best + 1]) : 0;
        double zero = secondary[0].Seconds - primary[0].Seconds;
        double offset = zero + ((first + best + shift) / GridPerSecond);
        double from = Math.Max(primary[0].Seconds, secondary[0].Seconds - offset), to = Math.Min(primary[^1].Seconds, secondary[^1].Seconds - offset);
        double peak = chance > 0 ? heights[best] / chance : 0, nextBest = heights[best] > 0 ? next / heights[best] : 1;
        double confidence = 1 / (1 + Math.Exp(-(peak - 8.5) / 0.8)) / (1 + Math.Exp(-(0.72 - nextBest) / 0.05));
        SyncEvidence evidence = new()
        {
            OverlapSeconds = to - from,
            OverlapStartSeconds = from,
            PeakOverChance = peak,
            NextBest = nextBest,
            NextBestOffsetSeconds = nextAt < 0 ? null : zero + ((double)(first + nextAt) / GridPerSecond),
            OffsetErrorSeconds = 0.5 * Math.Max(MedianStep(primary), MedianStep(secondary)),
        };
        if (confidence >= options.MinimumConfidence)
        {
            return new SyncFound(offset, 0, confidence, SyncMethod.Light, evidence)
            {
                Warnings = ["The clips were lined up by changes of light and motion in the pictures, not by sound: that is accurate to about a frame; drift between the cameras' clocks was not measured."],
            };
        }

        return new SyncRefused(
            nextBest > 0.72 && peak > 8.5 ? SyncRefusal.Repeating : SyncRefusal.Unrelated,
            "Light and motion of the two pictures have nothing in common by which to line up the recordings.",
            "Check that both clips show the same event.", confidence, evidence);
    }

    /// <summary>
    /// The offset near an expected one at which both series agree best, their correlation there (-1..1) and the highest
    /// correlation more than half a second away; null if the series are too short or nothing changes in them.
    /// </summary>
    /// <param name="primary">One value per frame, times ascending.</param>
    /// <param name="secondary">One value per frame, times ascending.</param>
    /// <param name="expectedSeconds">Secondary's time minus primary's.</param>
    /// <param name="reachSeconds">How far to search on either side.</param>
    internal static (double OffsetSeconds, double Correlation, double Next)? Near(
        IReadOnlyList<LightSample> primary, IReadOnlyList<LightSample> secondary, double expectedSeconds, double reachSeconds)
    {
        CheckSeries(primary, nameof(primary));
        CheckSeries(secondary, nameof(secondary));
        if (Math.Min(Duration(primary), Duration(secondary)) < ShortestSeconds)
        {
            return null;
        }

        (float[] Light, float[] Motion) a = Grid(primary), b = Grid(secondary);
        double zero = secondary[0].Seconds - primary[0].Seconds;
        int middle = (int)Math.Round((expectedSeconds - zero) * GridPerSecond), reach = (int)(reachSeconds * GridPerSecond);
        double[] heights = [.. Enumerable.Range(middle - reach, (2 * reach) + 1).Select(lag => CorrelationAt(a, b, lag))];
        int best = Array.IndexOf(heights, heights.Max());
        double next = heights.Where((_, k) => Math.Abs(k - best) > PeakSeconds * GridPerSecond).DefaultIfEmpty().Max();
        double shift = best > 0 && best + 1 < heights.Length ? Parabola.Vertex(heights[best - 1], heights[best], heights[best + 1]) : 0;
        return heights[best] > 0 ? (zero + ((middle - reach + best + shift) / GridPerSecond), heights[best], next) : null;
    }

    // The correlation of both series together over their overlap at this lag; 0 if that is less than two seconds.
    private static double CorrelationAt((float[] Light, float[] Motion) a, (float[] Light, float[] Motion) b, int lag)
    {
        double product = 0, first = 0, second = 0;
        int from = Math.Max(0, -lag), to = Math.Min(a.Light.Length, b.Light.Length - lag);
        for (int k = from; k < to; k++)
        {
            double la = a.Light[k], ma = a.Motion[k], lb = b.Light[k + lag], mb = b.Motion[k + lag];
            product += (la * lb) + (ma * mb);
            first += (la * la) + (ma * ma);
            second += (lb * lb) + (mb * mb);
        }

        return to - from >= 2 * GridPerSecond && first > 0 && second > 0 ? product / Math.Sqrt(first * second) : 0;
    }

    private static void CheckSeries(IReadOnlyList<LightSample> series, string name)
    {
        for (int k = 0; k < series.Count; k++)
        {
            LightSample s = series[k];
            if (!double.IsFinite(s.Seconds) || !double.IsFinite(s.Lightness) || !double.IsFinite(s.Motion) || (k > 0 && s.Seconds <= series[k - 1].Seconds))
            {
                throw new ArgumentException(FormattableString.Invariant($"Frame {k}: times must rise and all values be finite."), name);
            }
        }
    }

    private static double Duration(IReadOnlyList<LightSample> series) => series.Count < 2 ? 0 : series[^1].Seconds - series[0].Seconds;

    private static double MedianStep(IReadOnlyList<LightSample> series) =>
        Median.Of(series.Skip(1).Zip(series, (b, a) => b.Seconds - a.Seconds));

    private static (float[] Light, float[] Motion) Grid(IReadOnlyList<LightSample> series)
    {
        int count = (int)(Duration(series) * GridPerSecond) + 1;
        float[] light = new float[count], motion = new float[count];
        int k = 0;
        for (int g = 0; g < count; g++)
        {
            double t = series[0].Seconds + ((double)g / GridPerSecond);
            while (k + 2 < series.Count && series[k + 1].Seconds <= t)
            {
                k++;
            }

            double part = Math.Clamp((t - series[k].Seconds) / (series[k + 1].Seconds - series[k].Seconds), 0, 1);
            light[g] = (float)(series[k].Lightness + (part * (series[k + 1].Lightness - series[k].Lightness)));

            // Motion is relative to the previous frame; the first frame has none.
            double m0 = k == 0 ? series[1].Motion : series[k].Motion;
            motion[g] = (float)(m0 + (part * (series[k + 1].Motion - m0)));
        }

        float[] change = new float[count];
        for (int g = ChangeSteps; g + ChangeSteps < count; g++)
        {
            change[g] = light[g + ChangeSteps] - light[g - ChangeSteps];
        }

        return (Normalised(change), Normalised(motion));
    }

    private static float[] Normalised(float[] values)
    {
        int n = values.Length;
        double[] sum = new double[n + 1], squares = new double[n + 1];
        for (int k = 0; k < n; k++)
        {
            sum[k + 1] = sum[k] + values[k];
            squares[k + 1] = squares[k] + ((double)values[k] * values[k]);
        }

        double mean = sum[n] / n, whole = Math.Sqrt(Math.Max(0, (squares[n] / n) - (mean * mean)));
        float[] result = new float[n];
        for (int k = 0; k < n && whole > 1e-9 * Math.Max(1, Math.Abs(mean)); k++)
        {
            int from = Math.Max(0, k - LocalSteps), to = Math.Min(n, k + LocalSteps + 1);
            double local = (sum[to] - sum[from]) / (to - from);
            double spread = Math.Sqrt(Math.Max(0, ((squares[to] - squares[from]) / (to - from)) - (local * local)));
            result[k] = (float)Math.Clamp((values[k] - local) / (spread + (0.3 * whole)), -LargestValue, LargestValue);
        }

        return result;
    }

    private static bool IsFlat((float[] Light, float[] Motion) grid) => Array.TrueForAll(grid.Light, v => v == 0) && Array.TrueForAll(grid.Motion, v => v == 0);

    // For each lag: the sum over both series, divided by the root of both energies in the overlap, times the root of
    // its length.
    private static (int First, float[] Heights) Correlation((float[] Light, float[] Motion) a, (float[] Light, float[] Motion) b)
    {
        int n = a.Light.Length, m = b.Light.Length;
        int size = (int)BitOperations.RoundUpToPowerOf2((uint)(n + m));
        FourierTransform transform = FourierTransform.OfSize(size);
        float[] ar = new float[size], ai = new float[size], br = new float[size], bi = new float[size];
        a.Light.CopyTo(ar, 0);
        a.Motion.CopyTo(ai, 0);
        b.Light.CopyTo(br, 0);
        b.Motion.CopyTo(bi, 0);
        double[] energyA = Energy(a), energyB = Energy(b);
        transform.Forward(ar, ai);
        transform.Forward(br, bi);
        for (int k = 0; k < size; k++)
        {
            (br[k], bi[k]) = ((ar[k] * br[k]) + (ai[k] * bi[k]), (ar[k] * bi[k]) - (ai[k] * br[k]));
        }

        transform.InverseUnscaled(br, bi);
        int shortest = Math.Min(Math.Min(n, m), Math.Max((int)(ShortestSeconds * GridPerSecond), Math.Min(n, m) / 10));
        int first = shortest - n, last = m - shortest;
        float[] heights = new float[last - first + 1];
        for (int lag = first; lag <= last; lag++)
        {
            int from = Math.Max(0, lag), to = Math.Min(m, lag + n);
            double e = (energyB[to] - energyB[from]) * (energyA[to - lag] - energyA[from - lag]);
            heights[lag - first] = e > 0 ? (float)(br[lag >= 0 ? lag : lag + size] / size * Math.Sqrt(2.0 * (to - from) / e)) : 0;
        }

        return (first, heights);
    }

    private static double[] Energy((float[] Light, float[] Motion) grid)
    {
        double[] energy = new double[grid.Light.Length + 1];
        for (int k = 0; k < grid.Light.Length; k++)
        {
            energy[k + 1] = energy[k] + ((double)grid.Light[k] * grid.Light[k]) + ((double)grid.Motion[k] * grid.Motion[k]);
        }

        return energy;
    }
}
