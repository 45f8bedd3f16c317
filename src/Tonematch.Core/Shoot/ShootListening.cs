using System.Collections.Immutable;
using Tonematch.Sync;
using Tonematch.Sync.Sound;

namespace Tonematch.Shoot;

/// <summary>
/// Measures likely meetings, most likely first, until every clip's place is confirmed by enough of them.
/// </summary>
public static class ShootListening
{
    // A place on which three meetings agree gains nothing from a fourth.
    private const int EnoughMeetings = 3;

    // A pair that contradicts known meetings is measured only if it was nearly as likely as they were.
    private const double RivalShare = 0.7;

    private const double SameOffsetSeconds = 0.3;

    // Two groups of clips in which this many of the most likely meetings were chance did not meet: the next are less
    // likely, and without this a group that met no other would be compared with all of them.
    private const int MostInVain = 12;

    /// <summary>Measures meetings.</summary>
    /// <param name="clips">All clips; the camera of the first one defines the clock.</param>
    /// <param name="likely">From <see cref="LikelyMeetings"/>.</param>
    /// <param name="soundOf">Reads a clip's sound by its index when needed, so that hours of sound need not be in memory.</param>
    /// <param name="options">As for two clips.</param>
    /// <param name="progress">Receives the number of likely meetings that are done.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns>The measured meetings; a clip without a match is in none of them.</returns>
    public static ImmutableArray<Meeting> Listen(
        IReadOnlyList<ShootClip> clips, IReadOnlyList<LikelyMeeting> likely, Func<int, MonoSound> soundOf,
        SyncOptions? options = null, IProgress<int>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(likely);
        ArgumentNullException.ThrowIfNull(soundOf);
        List<(Meeting Meeting, double Score)> meetings = [];
        ShootTimes known = ShootClock.Solve(clips, []);
        List<LikelyMeeting> inVain = [];
        int done = 0;
        foreach (LikelyMeeting next in likely.OrderByDescending(l => l.Score))
        {
            cancel.ThrowIfCancellationRequested();
            progress?.Report(done++);
            if (IsSettled(next, known, meetings, inVain))
            {
                continue;
            }

            if (MeetingSync.Measure(next, soundOf(next.First), soundOf(next.Second), options, cancel) is { } meeting)
            {
                meetings.Add((meeting, next.Score));
                known = ShootClock.Solve(clips, [.. meetings.Select(m => m.Meeting)]);
            }
            else
            {
                inVain.Add(next);
            }
        }

        return [.. meetings.Select(m => m.Meeting)];
    }

    private static bool IsSettled(LikelyMeeting next, ShootTimes known, List<(Meeting Meeting, double Score)> meetings, List<LikelyMeeting> inVain)
    {
        (PlacedClip first, PlacedClip second) = (known.Clips[next.First], known.Clips[next.Second]);
        if (first.Island != second.Island)
        {
            return inVain.Count(v => (known.Clips[v.First].Island, known.Clips[v.Second].Island) is var (a, b)
                && ((a == first.Island && b == second.Island) || (a == second.Island && b == first.Island))) >= MostInVain;
        }

        if (first.Meetings.IsEmpty || second.Meetings.IsEmpty)
        {
            return false;
        }

        double middle = (next.FromSeconds + next.ToSeconds) / 2;
        double apart = second.ClipTime(first.ShootTime(middle)) - middle - next.OffsetSeconds;
        if (Math.Abs(apart) < SameOffsetSeconds)
        {
            return first.Meetings.Length >= EnoughMeetings && second.Meetings.Length >= EnoughMeetings;
        }

        double best = Math.Min(Best(first), Best(second));
        return next.Score < RivalShare * best;

        double Best(PlacedClip clip) => clip.Meetings.Max(m => meetings[m].Score);
    }
}
