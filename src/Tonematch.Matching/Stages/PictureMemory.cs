namespace Tonematch.Matching.Stages;

/// <summary>
/// Gives back the memory of pictures and sound that are done with. A frame in floating point is megabytes, an hour of two
/// sounds a quarter of a gigabyte, and the collector leaves them lying for long: it looks at large objects seldom, and
/// keeps from the system what it has freed, beside which FFmpeg's processes then start. A collection here costs some ten
/// milliseconds and keeps the whole program at a few hundred megabytes, whatever the length of the clips.
/// </summary>
internal static class PictureMemory
{
    /// <summary>To be called between batches of frames, when nothing of the last batch is needed any more.</summary>
    public static void Release() => GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
}
