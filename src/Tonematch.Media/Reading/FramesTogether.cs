using System.Runtime.CompilerServices;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Sync;

namespace Tonematch.Media.Reading;

/// <summary>A frame of the primary and the frame of the secondary nearest to it in time.</summary>
/// <param name="Primary">Valid until the next pair is requested.</param>
/// <param name="Secondary">Valid until the next pair is requested; several frames of a faster primary share one.</param>
public sealed record FramesTogether(TimedPicture Primary, TimedPicture Secondary)
{
    /// <summary>
    /// Streams both clips in parallel: every frame of the primary in a section, with constant memory.
    /// </summary>
    /// <param name="reader">Reads the clips.</param>
    /// <param name="primary">From <see cref="ClipProbe"/>.</param>
    /// <param name="secondary">From <see cref="ClipProbe"/>.</param>
    /// <param name="sync">Their alignment in time.</param>
    /// <param name="fromSeconds">Start of the section, in the primary's seconds.</param>
    /// <param name="toSeconds">Its end.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    /// <exception cref="UnusableInputException">A clip cannot be decoded.</exception>
    public static async IAsyncEnumerable<FramesTogether> ReadAsync(
        ClipReader reader, ClipInfo primary, ClipInfo secondary, SyncFound sync, double fromSeconds, double toSeconds, int maxSide,
        [EnumeratorCancellation] CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(reader);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(sync);
        double length = Math.Max(toSeconds - fromSeconds, 0.001);

        // One second more at both ends, so that the nearest frame is included.
        double otherFrom = Math.Max(0, sync.SecondaryTime(fromSeconds) - 1);
        await using IAsyncEnumerator<TimedPicture> others = reader.SequenceAsync(
            secondary, new() { MaxSide = maxSide, LeavesBlockEdges = true, FromSeconds = otherFrom, DurationSeconds = sync.SecondaryTime(toSeconds) + 1 - otherFrom }, cancel)
            .GetAsyncEnumerator(cancel);
        TimedPicture? nearest = await NextAsync(others).ConfigureAwait(false), following = await NextAsync(others).ConfigureAwait(false);
        try
        {
            await foreach (TimedPicture frame in reader.SequenceAsync(
                primary, new() { MaxSide = maxSide, LeavesBlockEdges = true, FromSeconds = fromSeconds, DurationSeconds = length }, cancel).ConfigureAwait(false))
            {
                using (frame)
                {
                    double wanted = sync.SecondaryTime(frame.Seconds);
                    while (following is not null && nearest is not null && Math.Abs(following.Seconds - wanted) < Math.Abs(nearest.Seconds - wanted))
                    {
                        nearest.Dispose();
                        (nearest, following) = (following, await NextAsync(others).ConfigureAwait(false));
                    }

                    if (nearest is not null)
                    {
                        yield return new FramesTogether(frame, nearest);
                    }
                }
            }
        }
        finally
        {
            nearest?.Dispose();
            following?.Dispose();
        }
    }

    private static async ValueTask<TimedPicture?> NextAsync(IAsyncEnumerator<TimedPicture> frames) =>
        await frames.MoveNextAsync().ConfigureAwait(false) ? frames.Current : null;
}
