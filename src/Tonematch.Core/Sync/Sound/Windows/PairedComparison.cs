using Tonematch.Sync.Sound.Candidates;

namespace Tonematch.Sync.Sound.Windows;

/// <summary>
/// Compares two candidate lines on the same sections of the primary: in a repeated rhythm both correlate well
/// everywhere, and only what is not repeated (a voice over a loop) favours the right one, but it does so consistently
/// in every section.
/// </summary>
/// <param name="MeanLogRatio">Mean natural logarithm of the ratio of the first line's height to the second's.</param>
/// <param name="T">That mean divided by its standard error (Student's t); 0 with too few sections.</param>
internal readonly record struct PairedComparison(double MeanLogRatio, double T)
{
    private const int FewestWindows = 6;
    private const int MostWindows = 32;
    private const double NearSeconds = 0.0015;

    // Best of a dozen lines by chance: t about 3. Differences in height below a tenth do not count.
    public bool FirstIsBetter => T > 6 && MeanLogRatio > 0.1;

    public bool SecondIsBetter => T < -6 && MeanLogRatio < -0.1;

    public static PairedComparison Of(SoundPair pair, OffsetCandidate first, OffsetCandidate second, CancellationToken cancel)
    {
        (double from1, double to1) = AlignedWindows.Overlap(pair.Primary, pair.Secondary, first);
        (double from2, double to2) = AlignedWindows.Overlap(pair.Primary, pair.Secondary, second);
        (double from, double to) = (Math.Max(from1, from2), Math.Min(to1, to2));
        int length = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)pair.Rate);
        double seconds = (double)length / pair.Rate;
        int count = (int)Math.Min(MostWindows, (to - from) / seconds);
        if (count < FewestWindows)
        {
            return default;
        }

        double[] starts = [.. Enumerable.Range(0, count).Select(k => from + ((to - from - seconds) * k / (count - 1)))];
        Dictionary<double, double> heights = Heights(first).ToDictionary(h => h.At, h => h.Height);
        double[] ratios = [.. Heights(second).Where(h => heights.ContainsKey(h.At)).Select(h => Math.Log(heights[h.At] / h.Height))];
        if (ratios.Length < FewestWindows)
        {
            return default;
        }

        double mean = ratios.Average();
        double deviation = Math.Sqrt(ratios.Sum(r => (r - mean) * (r - mean)) / (ratios.Length - 1));
        return new PairedComparison(mean, mean / Math.Max(1e-9, deviation / Math.Sqrt(ratios.Length)));

        IEnumerable<(double At, double Height)> Heights(OffsetCandidate line)
        {
            AlignedWindows windows = AlignedWindows.At(pair, line, starts, length, NearSeconds, cancel);
            return Enumerable.Range(0, windows.Count).Select(w => (windows.At(w), (double)Math.Max(1e-9f, windows.Lags(w).Max(Math.Abs))));
        }
    }
}
