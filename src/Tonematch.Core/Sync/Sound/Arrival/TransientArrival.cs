using Tonematch.Numerics;
using Tonematch.Sync.Sound.Candidates;

namespace Tonematch.Sync.Sound.Arrival;

/// <summary>
/// How much later the secondary hears sudden sounds (claps, clicks, drums): whatever first stands out from the quiet
/// before them has taken the shortest path, however loud the later echoes are.
/// </summary>
/// <param name="LagSeconds">Median over the sounds, relative to the line of the windows.</param>
/// <param name="SpreadSeconds">Median absolute difference from it.</param>
/// <param name="Count">Number of sudden sounds in both recordings.</param>
internal readonly record struct TransientArrival(double LagSeconds, double SpreadSeconds, int Count)
{
    // A sudden sound is 20 dB louder in 5 ms than in the 50 ms before.
    private const double FrameSeconds = 0.005;
    private const double QuietSeconds = 0.05;
    private const double Rise = 100;

    // The other recording may hear it this much earlier or later.
    private const double WithinSeconds = 0.025;

    // A peak of this many standard deviations occurs among a thousand samples of normal noise in one of 25 000 cases.
    private const double StandsOut = 5.5;

    private const double StretchSeconds = 30;

    // Ten sections of 30 s hold enough sudden sounds, if there are any.
    private const int MostStretches = 10;

    private const int FewestSounds = 2;

    // Slow onsets (a bow, a vowel) are detected inconsistently: their differences spread by more than this. The median
    // of more sounds is more accurate by the root of their number, so they may spread wider, up to the second limit.
    private const double LargestSpreadSeconds = 0.0002;
    private const double LargestSpreadOfManySeconds = 0.0004;

    /// <summary>Accuracy of the onset of a sudden sound: a fainter one is detected a little later.</summary>
    public const double PrecisionSeconds = 0.0007;

    /// <summary>Whether several sudden sounds agree.</summary>
    public bool IsClear => Count >= FewestSounds
        && SpreadSeconds <= Math.Min(LargestSpreadOfManySeconds, LargestSpreadSeconds * Math.Sqrt((double)Count / FewestSounds));

    /// <param name="pair">Both sounds.</param>
    /// <param name="line">The candidate alignment.</param>
    /// <param name="from">Start of the overlap on the primary's time line, seconds from its first sample.</param>
    /// <param name="to">Its end.</param>
    /// <param name="cancel">Cancels the work.</param>
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

    // Removes hum and rumble, which rise slowly and hide fast onsets.
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

    // The first sample in from..to that stands out from the 50 ms before; -1 if none does.
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
