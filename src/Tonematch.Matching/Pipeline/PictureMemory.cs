namespace Tonematch.Matching;

/// <summary>
/// Gives back the memory of pictures that are done with. A frame in floating point is megabytes, which the collector
/// leaves lying for long: it looks at large objects seldom. A collection here costs some ten milliseconds and keeps
/// the whole program at a few hundred megabytes, whatever the length of the clips.
/// </summary>
internal static class PictureMemory
{
    /// <summary>To be called between batches of frames, when nothing of the last batch is needed any more.</summary>
    public static void LetGo() => GC.Collect(GC.MaxGeneration, GCCollectionMode.Forced, blocking: true, compacting: false);
}
