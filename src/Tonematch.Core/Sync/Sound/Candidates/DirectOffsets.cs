using System.Numerics;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Sync.Sound.Candidates;

/// <summary>
/// Candidate offsets of short recordings from one phase correlation of the whole length, for steady sounds without
/// onsets.
/// </summary>
internal static class DirectOffsets
{
    private const int Rate = 8000;

    // Total length of both sounds, so that the transform stays below 2^22 points (33 MB).
    private const double LongestSeconds = 260;

    // Judging examines 50 ms on either side of a line, so a nearer candidate would be judged twice.
    private const double ApartSeconds = 0.02;

    /// <param name="pair">Both sounds.</param>
    /// <param name="count">The largest number of candidates.</param>
    /// <param name="known">Lines that are judged anyway; candidates near one are left out.</param>
    public static List<OffsetCandidate> Find(SoundPair pair, int count, IReadOnlyCollection<OffsetCandidate> known)
    {
        (double a, double b) = (pair.Primary.DurationSeconds, pair.Secondary.DurationSeconds);
        int rate = Math.Min(Rate, pair.Rate);
        if (Math.Max(a, b) > LongestSeconds / 2)
        {
            return [];
        }

        int length = (int)BitOperations.RoundUpToPowerOf2((uint)(Math.Max(a, b) * rate));
        float[] primary = new float[2 * length], secondary = new float[2 * length];
        new SoundReader(pair.Primary, rate).Read(0, 1, primary.AsSpan(0, length));
        new SoundReader(pair.Secondary, rate).Read(0, 1, secondary.AsSpan(0, length));
        float[] lags = new PhaseCorrelation(rate, length, tapered: false).Correlate(primary, secondary, length - 1, out _);
        int shortest = (int)(0.5 * rate);
        List<(int Lag, float Height)> peaks = [];
        for (int k = 1; k + 1 < lags.Length; k++)
        {
            int lag = k - (length - 1);
            float height = Math.Abs(lags[k]);
            if (lag > shortest - (a * rate) && lag < (b * rate) - shortest && height > Math.Abs(lags[k - 1]) && height >= Math.Abs(lags[k + 1]))
            {
                peaks.Add((lag, height));
            }
        }

        List<OffsetCandidate> found = [];
        foreach ((int lag, float height) in peaks.OrderByDescending(p => p.Height).Take(20 * count))
        {
            double offset = (double)lag / rate, middle = (Math.Max(0, -offset) + Math.Min(a, b - offset)) / 2;
            if (found.Count < count && found.Concat(known).All(f => Math.Abs(f.OffsetAt(middle) - offset) > ApartSeconds))
            {
                found.Add(new OffsetCandidate(offset, middle, 0, double.PositiveInfinity, height));
            }
        }

        return found;
    }
}
