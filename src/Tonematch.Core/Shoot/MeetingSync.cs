using Tonematch.Sync;
using Tonematch.Sync.Sound;

namespace Tonematch.Shoot;

/// <summary>Measures a likely meeting sample by sample, in the overlap of both clips.</summary>
public static class MeetingSync
{
    // The sound beside the overlap shows whether another offset fits equally well.
    private const double MarginSeconds = 10;

    /// <summary>Compares the two sounds in their likely overlap.</summary>
    /// <param name="likely">From <see cref="LikelyMeetings"/>.</param>
    /// <param name="first">The first clip's sound.</param>
    /// <param name="second">The second clip's sound.</param>
    /// <param name="options">As for two clips.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns>Null if the sounds do not confirm it with the required confidence.</returns>
    public static Meeting? Measure(
        LikelyMeeting likely, MonoSound first, MonoSound second, SyncOptions? options = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(likely);
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        double from = likely.FromSeconds - MarginSeconds, to = likely.ToSeconds + MarginSeconds;
        MonoSound one = first.Part(from, to), other = second.Part(from + likely.OffsetSeconds, to + likely.OffsetSeconds);

        // A result elsewhere is not this meeting.
        return SoundSync.Synchronise(one, other, options, cancel) is SyncFound found
            && Math.Abs(found.SecondaryTime((from + to) / 2) - ((from + to) / 2) - likely.OffsetSeconds) < 0.5
            ? new Meeting(likely.First, likely.Second, found)
            : null;
    }
}
