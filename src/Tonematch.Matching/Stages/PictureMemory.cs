namespace Tonematch.Matching.Stages;

/// <summary>
/// Releases the memory of pictures and sound that are no longer needed. A frame in floating point takes megabytes, an
/// hour of two sounds a quarter of a gigabyte, and the garbage collector rarely collects large objects and keeps freed
/// memory from the system, just when FFmpeg's processes start. A collection here costs about ten milliseconds and keeps
/// the whole program at a few hundred megabytes, whatever the length of the clips.
/// </summary>
internal static class PictureMemory
{
    /// <summary>Call it between batches of frames, when the last batch is no longer needed.</summary>
    public static void Release() => GC.Collect(GC.MaxGeneration, GCCollectionMode.Aggressive, blocking: true, compacting: true);
}
