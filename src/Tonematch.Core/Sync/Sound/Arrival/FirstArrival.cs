using Tonematch.Numerics;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Sync.Sound.Arrival;

/// <summary>
/// The lag of the direct sound, which in an echoing room need not be the highest peak: it arrives first, so little
/// precedes it.
/// </summary>
/// <param name="LagSeconds">Secondary minus primary, seconds, relative to the line of the windows.</param>
/// <param name="HighestLagSeconds">Lag of the highest peak, which may be an echo's.</param>
/// <param name="Contrast">Height at the lag over the root mean square of the 20 ms before it.</param>
/// <param name="DoubtSeconds">Distance of other peaks of similar height if the contrast is inconclusive; otherwise 0.</param>
/// <remarks>
/// The response from one recording to the other is causal if the first recording has clear direct sound: then only
/// noise precedes the direct sound, and the other's echoes follow. Which of the two is clear is not known beforehand,
/// so both directions are examined and the one with the sharper onset decides.
/// </remarks>
internal readonly record struct FirstArrival(double LagSeconds, double HighestLagSeconds, double Contrast, double DoubtSeconds)
{
    // A direct sound below this share of the loudest echo cannot be distinguished from noise.
    private const double LeastPart = 0.15;

    // Echoes louder than the direct sound arrive within this time (7 m of detour).
    private const double LongestDetourSeconds = 0.02;

    private const double BeforeSeconds = 0.02;
    private const double GapSeconds = 0.0005;

    // Below this contrast the onset is not sharp enough to overrule the highest peak.
    private const double ClearContrast = 7;

    // If a clear peak's contrast reaches this share of the highest contrast, the earlier peak counts.
    private const double AboutAsSharp = 0.85;

    // With fewer windows a ratio of spectra is mostly noise.
    private const int FewestWindows = 3;

    private const double HighestWithinSeconds = 0.05;

    // Peaks of at least this share of the highest one could also be the direct sound.
    private const double AboutAsHigh = 0.7;

    /// <param name="spectra">The pooled spectra of the windows.</param>
    /// <param name="rate">Samples per second.</param>
    /// <param name="transient">The arrival of sudden sounds; if several agree, they overrule the responses.</param>
    public static FirstArrival Find(PooledSpectra spectra, int rate, TransientArrival transient)
    {
        FirstArrival found = FromResponses(spectra, rate);
        return !transient.IsClear ? found
            : Math.Abs(found.LagSeconds - transient.LagSeconds) <= TransientArrival.PrecisionSeconds ? found with { DoubtSeconds = 0 }
            : found with { LagSeconds = transient.LagSeconds, DoubtSeconds = TransientArrival.PrecisionSeconds };
    }

    private static FirstArrival FromResponses(PooledSpectra spectra, int rate)
    {
        int within = (int)(HighestWithinSeconds * rate), most = within + (int)((LongestDetourSeconds + BeforeSeconds) * rate) + 2;
        float[] coherence = spectra.Coherence(most);
        int top = Highest(coherence, most - within, most + within);
        double highest = (top - most + Vertex(coherence, top)) / rate;
        if (spectra.Windows < FewestWindows)
        {
            return new FirstArrival(highest, highest, 0, Doubt(coherence, top, rate));
        }

        (double forward, double forwardContrast) = Beginning(spectra.SecondaryOverPrimary(most), within, rate);
        (double backward, double backwardContrast) = Beginning(spectra.PrimaryOverSecondary(most), within, rate);
        double contrast = Math.Max(forwardContrast, backwardContrast);
        double lag = forwardContrast >= backwardContrast ? forward : -backward;
        return contrast >= ClearContrast && Math.Abs(lag - highest) <= LongestDetourSeconds
            ? new FirstArrival(lag, highest, contrast, 0)
            : new FirstArrival(highest, highest, contrast, Doubt(coherence, top, rate));
    }

    // The peak with the highest contrast to the 20 ms before it. An echo after a damped direct sound may have as much
    // contrast to it as it has to the noise, so of about equal peaks the earlier one is taken.
    private static (double LagSeconds, double Contrast) Beginning(float[] response, int within, int rate)
    {
        int most = response.Length / 2, back = (int)(LongestDetourSeconds * rate);
        int before = (int)(BeforeSeconds * rate), gap = (int)(GapSeconds * rate);
        int top = Highest(response, most - within, most + within);
        List<(int At, double Ratio)> peaks = [];
        for (int k = top - back; k <= top; k++)
        {
            if (response[k] >= LeastPart * response[top] && response[k] >= response[k - 1] && response[k] >= response[k + 1])
            {
                peaks.Add((k, response[k] / Math.Max(1e-30f, Max(response.AsSpan(k - before, before - gap)))));
            }
        }

        (int best, double bestRatio) = peaks.MaxBy(p => p.Ratio);
        foreach ((int at, double ratio) in peaks)
        {
            if (ratio >= AboutAsSharp * bestRatio && Contrast(at) >= ClearContrast)
            {
                best = at;
                break;
            }
        }

        return ((best - most + Vertex(response, best)) / rate, Contrast(best));

        double Contrast(int at)
        {
            double square = 0;
            foreach (float v in response.AsSpan(at - before, before - gap))
            {
                square += (double)v * v;
            }

            return response[at] / Math.Sqrt(Math.Max(1e-60, square / (before - gap)));
        }
    }

    private static double Doubt(float[] heights, int top, int rate)
    {
        int reach = (int)(LongestDetourSeconds * rate), farthest = 0;
        for (int k = Math.Max(0, top - reach); k <= Math.Min(heights.Length - 1, top + reach); k++)
        {
            farthest = heights[k] >= AboutAsHigh * heights[top] ? Math.Max(farthest, Math.Abs(k - top)) : farthest;
        }

        // One or two samples beside the top are its own flank.
        return farthest > GapSeconds * rate ? (double)farthest / rate : 0;
    }

    private static double Vertex(float[] heights, int at) => Parabola.Vertex(heights[at - 1], heights[at], heights[at + 1]);

    private static int Highest(float[] heights, int from, int to)
    {
        int best = from;
        for (int k = from; k <= to; k++)
        {
            best = heights[k] > heights[best] ? k : best;
        }

        return best;
    }

    private static float Max(ReadOnlySpan<float> values)
    {
        float most = 0;
        foreach (float v in values)
        {
            most = Math.Max(most, v);
        }

        return most;
    }
}
