using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Stages.Check;

/// <summary>Frames of both clips at many instants, a few at a time, so that memory does not grow with their number.</summary>
internal static class FrameBatches
{
    private const int AtATime = 6;

    /// <summary>Takes frames from the clips; the next batch is decoded while the last one is examined.</summary>
    /// <param name="clips">The clips.</param>
    /// <param name="instants">The instants, in order of time; at least one.</param>
    /// <param name="maxSide">Longest side of the pictures, pixels.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async IAsyncEnumerable<ImmutableArray<MatchedFrames>> TakeAsync(
        SyncedClips clips, FrameStage.Instant[] instants, int maxSide, [EnumeratorCancellation] CancellationToken cancel)
    {
        FrameStage.Instant[][] chunks = [.. instants.Chunk(AtATime)];
        Task<ImmutableArray<MatchedFrames>> next = FrameStage.GrabAsync(clips, chunks[0], cancel, maxSide);
        try
        {
            for (int i = 0; i < chunks.Length; i++)
            {
                ImmutableArray<MatchedFrames> frames = await next;
                next = i + 1 < chunks.Length ? FrameStage.GrabAsync(clips, chunks[i + 1], cancel, maxSide) : Task.FromResult(frames);
                yield return frames;
            }
        }
        finally
        {
            // If the caller stops early, wait for the pending grab so that no FFmpeg process outlives it.
            await next.ContinueWith(static _ => { }, CancellationToken.None, TaskContinuationOptions.None, TaskScheduler.Default);
        }
    }

    /// <summary>Makes pictures of frames already decoded.</summary>
    /// <param name="clips">The clips, for the meaning of the code values.</param>
    /// <param name="candidates">The instants, in order of time.</param>
    /// <param name="maxSide">Longest side of the pictures, pixels.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async IAsyncEnumerable<ImmutableArray<MatchedFrames>> OfAsync(
        SyncedClips clips, IReadOnlyList<InstantCandidate> candidates, int maxSide, [EnumeratorCancellation] CancellationToken cancel)
    {
        foreach (InstantCandidate[] some in candidates.Chunk(AtATime / 2))
        {
            MatchedFrames[] frames = new MatchedFrames[some.Length];
            await Parallel.ForEachAsync(Enumerable.Range(0, some.Length), cancel, (i, _) =>
            {
                frames[i] = some[i].Taken(clips, maxSide, "");
                return ValueTask.CompletedTask;
            });
            yield return [.. frames];
        }
    }
}
