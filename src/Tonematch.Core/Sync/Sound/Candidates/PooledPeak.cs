using Tonematch.Numerics;
using Tonematch.Sync.Sound.Windows;

namespace Tonematch.Sync.Sound.Candidates;

/// <summary>
/// The highest peak of the signed sum of many windows' correlations: what they share grows with their number, chance
/// only with its root. So it stands out even if no single window is conclusive.
/// </summary>
/// <param name="LagSeconds">Relative to the windows' line, in the middle of the windows.</param>
/// <param name="Ppm">Drift at which they add up best, in addition to the line's drift.</param>
/// <param name="OverChance">Height relative to lags more than 30 ms away, in their standard deviations.</param>
/// <param name="HalvesOverChance">The same at this exact lag from the first and from the last windows alone, the lower of the two; relative to the surroundings of the peak that differ between the halves, if those are higher.</param>
/// <param name="HalvesOverFar">The lower of the two relative to lags more than 30 ms away only.</param>
internal readonly record struct PooledPeak(double LagSeconds, double Ppm, double OverChance, double HalvesOverChance, double HalvesOverFar)
{
    // The loudest echo may be this far from the peaks of single windows.
    private const double AroundSeconds = 0.02;
    private const double EchoSeconds = 0.03;
    private const double GapSeconds = 0.00075;

    // Largest number of drift steps, each of which moves the outermost window by a sample.
    private const int MostSteps = 400;

    /// <param name="windows">The windows.</param>
    /// <param name="lagSeconds">Centre of the search.</param>
    /// <param name="ppm">Centre of the drift search.</param>
    /// <param name="rangePpm">Range of the drift search on either side.</param>
    /// <param name="mostPpm">Largest possible drift.</param>
    public static PooledPeak Find(AlignedWindows windows, double lagSeconds, double ppm, double rangePpm, double mostPpm)
    {
        int count = windows.Count, rate = windows.Rate, most = windows.MostLag;
        double centre = Enumerable.Range(0, count).Average(windows.At), span = windows.At(count - 1) - windows.At(0);
        double stepPpm = span > 0 ? 2.0 / rate / span * 1e6 : double.PositiveInfinity;
        int steps = span > 0 ? (int)Math.Clamp(Math.Ceiling(Math.Min(rangePpm, 2 * mostPpm) / stepPpm), 0, MostSteps) : 0;
        int from = Math.Max(-most, (int)((lagSeconds - AroundSeconds) * rate)), to = Math.Min(most, (int)((lagSeconds + AroundSeconds) * rate));
        float[] sum = new float[to - from + 1];
        (float height, int lag, double best) = (-1, 0, ppm);
        for (int step = -steps; step <= steps; step++)
        {
            double drift = ppm + (steps == 0 ? 0 : step * stepPpm);
            Add(drift, from, sum);
            for (int k = 0; k < sum.Length; k++)
            {
                if (Math.Abs(sum[k]) > height)
                {
                    (height, lag, best) = (Math.Abs(sum[k]), from + k, drift);
                }
            }
        }

        float[] all = new float[(2 * most) + 1];
        Add(best, -most, all);
        double over = Over(all);

        // Windows may overlap by half; without the middle ones the two parts share no sound.
        float[] first = new float[all.Length], last = new float[all.Length];
        Add(best, -most, first, 0, (count - 1) / 2);
        Add(best, -most, last, (count + 2) / 2, count);
        (double halves, double plainHalves) = Halves(first, last, lag + most, rate);
        int at = lag + most;
        double shift = at > 0 && at + 1 < all.Length ? Parabola.Vertex(Math.Abs(all[at - 1]), Math.Abs(all[at]), Math.Abs(all[at + 1])) : 0;
        return new PooledPeak((lag + shift) / rate, best, over, halves, plainHalves);

        double Over(float[] heights)
        {
            double chance = Far(heights, lag + most, rate);
            return chance > 0 ? Math.Abs(heights[lag + most]) / chance : 0;
        }

        void Add(double drift, int first, float[] into, int firstWindow = 0, int endWindow = int.MaxValue)
        {
            Array.Clear(into);
            for (int w = firstWindow; w < Math.Min(count, endWindow); w++)
            {
                JudgedLine.AddMoved(windows.Lags(w), most + first + (int)Math.Round(drift * 1e-6 * (windows.At(w) - centre) * rate), into);
            }
        }
    }

    // Two claps that coincide by accident produce heights only within their own length, so chance is estimated beside
    // the peak. Echoes are there as well: what both halves share comes from the rooms and does not count as chance.
    private static (double OverLocal, double OverFar) Halves(float[] first, float[] last, int peak, int rate)
    {
        int reach = (int)(AroundSeconds * rate), gap = (int)(GapSeconds * rate);
        double f = 0, l = 0, both = 0;
        int n = 0;
        for (int k = Math.Max(0, peak - reach); k <= Math.Min(first.Length - 1, peak + reach); k++)
        {
            if (Math.Abs(k - peak) > gap)
            {
                f += (double)first[k] * first[k];
                l += (double)last[k] * last[k];
                both += (double)first[k] * last[k];
                n++;
            }
        }

        if (f <= 0 || l <= 0)
        {
            return (0, 0);
        }

        double unlike = Math.Sqrt(Math.Max(0, 1 - (both * both / (f * l))) / n);
        double heightFirst = Height(first), heightLast = Height(last), farFirst = Far(first, peak, rate), farLast = Far(last, peak, rate);
        return (
            Math.Min(heightFirst / Math.Max(farFirst, Math.Sqrt(f) * unlike), heightLast / Math.Max(farLast, Math.Sqrt(l) * unlike)),
            Math.Min(heightFirst / Math.Max(1e-30, farFirst), heightLast / Math.Max(1e-30, farLast)));

        // The line may be a sample off at either end.
        double Height(float[] heights) => Enumerable.Range(Math.Max(0, peak - 1), 3).Max(k => Math.Abs(heights[Math.Min(k, heights.Length - 1)]));
    }

    private static double Far(float[] heights, int peak, int rate) =>
        Median.Deviation(heights.Where((_, k) => Math.Abs(k - peak) > EchoSeconds * rate).Select(v => (double)v));
}
