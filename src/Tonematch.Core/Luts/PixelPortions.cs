namespace Tonematch.Luts;

/// <summary>
/// Divides the pixels of a picture among all cores. Long runs of pixels rather than rows, because rows of narrow
/// pictures are short.
/// </summary>
internal static class PixelPortions
{
    // Enough work (about 50 microseconds through the engine) to make the cost of another thread negligible.
    private const int PixelsAPortion = 1 << 14;

    /// <summary>Runs the work for each portion.</summary>
    /// <param name="count">All pixels.</param>
    /// <param name="work">Receives the first pixel of a portion and the number of its pixels.</param>
    public static void ForEach(int count, Action<int, int> work) => Parallel.For(0, (count + PixelsAPortion - 1) / PixelsAPortion, i =>
    {
        int from = i * PixelsAPortion;
        work(from, Math.Min(PixelsAPortion, count - from));
    });
}
