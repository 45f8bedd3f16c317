using Tonematch.Numerics;
using Tonematch.Sync.Sound.Candidates;

namespace Tonematch.Sync.Sound.Arrival;

/// <summary>
/// How much later the secondary hears sudden sounds (claps, clicks, drums): what first stands out of the quiet before
/// them has come by the shortest way, however loud the echoes after it.
/// </summary>
/// <param name="LagSeconds">Median over the sounds, relative to the line they were read along.</param>
/// <param name="SpreadSeconds">Median absolute difference from it.</param>
/// <param name="Count">Sudden sounds that both recordings heard.</param>
internal readonly record struct TransientArrival(double LagSeconds, double SpreadSeconds, int Count)
{
    // What comes suddenly: louder by 20 dB in 5 ms than in the 50 ms before.
    private const double FrameSeconds = 0.005;
    private const double QuietSeconds = 0.05;
    private const double Rise = 100;

    // The other recording may hear it this much earlier or later.
    private const double WithinSeconds = 0.025;

    // Of a thousand samples of normally distributed noise one in 25 000 cases holds one so many standard deviations high.
    private const double StandsOut = 5.5;

    private const double StretchSeconds = 30;

    // Ten stretches of 30 s hold sudden sounds enough, if there are any.
    private const int MostStretches = 10;

    private const int FewestSounds = 2;

    // Slow beginnings (a bow, a vowel) are caught here and there: their differences spread by more than this. The median of
    // more sounds is surer by the root of their number, so they may spread wider, up to the second of the two.
    private const double LargestSpreadSeconds = 0.0002;
    private const double LargestSpreadOfManySeconds = 0.0004;

    /// <summary>How well the beginning of a sudden sound says when it arrived: the fainter one is caught a little later.</summary>
    public const double PrecisionSeconds = 0.0007;

    /// <summary>Several sudden sounds that agree.</summary>
    public bool IsClear => Count >= FewestSounds
        && SpreadSeconds <= Math.Min(LargestSpreadOfManySeconds, LargestSpreadSeconds * Math.Sqrt((double)Count / FewestSounds));

    /// <param name="pair">Both sounds.</param>
    /// <param name="line">How they lie on each other.</param>
    /// <param name="from">Beginning of the overlap on the primary's line, seconds from its first sample.</param>
    /// <param name="to">Its end.</param>
    /// <param name="cancel">Ends the work early.</param>
    public static TransientArrival Find(SoundPair pair, OffsetCandidate line, double from, double to, CancellationToken cancel)
    {
        int rate = pair.Rate, margin = (int)((QuietSeconds + (2 * WithinSeconds)) * rate), within = (int)(WithinSeconds * rate);
        int count = (int)Math.Clamp(Math.Ceiling((to - from) / StretchSeconds), 1, MostStretches);
        double seconds = Math.Min(StretchSeconds, (to - from) / count);
        float[] a = new float[(int)(seconds * rate)], b = new float[a.Length];
        List<double> lags = [];
        for (int k = 0; k < count; k++)
        {
            cancel.ThrowIfCancellationRequested();
            double first = from + (count == 1 ? 0 : (to - from - seconds) * k / (count - 1));
            pair.PrimaryReader.Read(first, 1, a);
            pair.SecondaryReader.Read(first + line.OffsetAt(first), 1 + (line.DriftPpm * 1e-6), b);
            Flatten(a);
            Flatten(b);
            foreach (int at in Sudden(a, rate, margin, a.Length - margin))
            {
                int p = Onset(a, at - (within / 2), at + within, rate), s = p < 0 ? -1 : Onset(b, p - within, p + within, rate);
                if (s >= 0)
                {
                    lags.Add((double)(s - p) / rate);
                }
            }
        }

        double median = Median.Of(lags);
        return new TransientArrival(median, Median.Of(lags.Select(l => Math.Abs(l - median))), lags.Count);
    }

    // Hum and rumble rise slowly and hide what rises fast.
    private static void Flatten(float[] sound)
    {
        for (int k = sound.Length - 1; k > 0; k--)
        {
            sound[k] -= 0.97f * sound[k - 1];
        }
    }

    private static IEnumerable<int> Sudden(float[] sound, int rate, int from, int to)
    {
        int frame = (int)(FrameSeconds * rate), before = (int)(QuietSeconds / FrameSeconds), last = int.MinValue / 2;
        double[] energy = [.. Enumerable.Range(0, sound.Length / frame).Select(f => Energy(sound, f * frame, (f + 1) * frame))];
        double loudest = energy.DefaultIfEmpty().Max();
        for (int f = Math.Max(from / frame, before + 2); f < Math.Min(to / frame, energy.Length); f++)
        {
            double quiet = 0;
            for (int k = f - before - 1; k < f - 1; k++)
            {
                quiet = Math.Max(quiet, energy[k]);
            }

            if (energy[f] > Rise * quiet && energy[f] > 1e-3 * loudest && f * frame - last > 0.2 * rate)
            {
                last = f * frame;
                yield return last;
            }
        }
    }

    private static double Energy(float[] sound, int from, int to)
    {
        double sum = 0;
        for (int k = from; k < to; k++)
        {
            sum += (double)sound[k] * sound[k];
        }

        return sum;
    }

    // The first sample from..to that stands out of the 50 ms before; -1 when none does.
    private static int Onset(float[] sound, int from, int to, int rate)
    {
        int quiet = (int)(QuietSeconds * rate);
        if (from - quiet < 0 || to >= sound.Length)
        {
            return -1;
        }

        double limit = StandsOut * Math.Sqrt(Energy(sound, from - quiet, from) / quiet);
        for (int k = from; k < to; k++)
        {
            if (Math.Abs(sound[k]) > limit && limit > 0)
            {
                return k;
            }
        }

        return -1;
    }
}
