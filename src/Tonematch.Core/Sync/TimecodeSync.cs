using System.Globalization;

namespace Tonematch.Sync;

/// <summary>Finds the offset of two clips from the timecodes of their first frames.</summary>
public static class TimecodeSync
{
    private const double DaySeconds = 86400;

    /// <summary>Assumes that equal timecodes mean the same moment.</summary>
    /// <param name="primary">Timecode of the primary's first frame (its time 0), or null if it has none.</param>
    /// <param name="primaryDurationSeconds">Length of the primary, seconds.</param>
    /// <param name="secondary">Timecode of the secondary's first frame, or null.</param>
    /// <param name="secondaryDurationSeconds">Length of the secondary, seconds.</param>
    public static SyncResult Synchronise(
        Timecode? primary, double primaryDurationSeconds, Timecode? secondary, double secondaryDurationSeconds)
    {
        ArgumentOutOfRangeException.ThrowIfNegative(primaryDurationSeconds);
        ArgumentOutOfRangeException.ThrowIfNegative(secondaryDurationSeconds);
        if (primary is null || secondary is null)
        {
            string which = primary is null && secondary is null ? "Neither clip carries" : primary is null ? "Camera A does not carry" : "Camera B does not carry";
            return Refused($"{which} a timecode.");
        }

        if (primary.Frame == 0 && secondary.Frame == 0)
        {
            return Refused("Both timecodes begin at 00:00:00:00, as in clips that were never set to a clock.");
        }

        // Nobody sets a camera's clock at midnight, so how far one that falls behind has done so is not known: equal
        // readings were the same moment when it was set. If both fall behind alike, the real time between them is right.
        double difference = primary.Seconds - secondary.Seconds, asRead = primary.ReadSeconds - secondary.ReadSeconds;
        bool primaryFallsBehind = primary.ReadSeconds != primary.Seconds, secondaryFallsBehind = secondary.ReadSeconds != secondary.Seconds;
        if (primaryFallsBehind != secondaryFallsBehind && Math.Abs(difference - asRead) > 1 / primary.FramesPerSecond)
        {
            return Refused(string.Create(CultureInfo.InvariantCulture,
                $"One of the timecodes is counted at {(primaryFallsBehind ? primary : secondary).FramesPerSecond:0.##} frames a second without dropping numbers: it falls behind the other by 3.6 s an hour since it was set. As they read, B begins {Math.Abs(asRead):0.0} s {(asRead > 0 ? "before" : "after")} A: a place to begin to look."));
        }

        // Across midnight the later clip's timecode has restarted.
        double offset = new[] { difference, difference - DaySeconds, difference + DaySeconds }
            .MaxBy(o => Shared(o, primaryDurationSeconds, secondaryDurationSeconds));
        double shared = Shared(offset, primaryDurationSeconds, secondaryDurationSeconds);
        if (shared <= 0)
        {
            return Refused("The timecodes of the two clips do not overlap.");
        }

        return new SyncFound(offset, 0, 0.9, SyncMethod.Timecode, new SyncEvidence
        {
            OverlapSeconds = shared,
            OverlapStartSeconds = Math.Max(0, -offset),
            OffsetErrorSeconds = 0.5 * Math.Max(1 / primary.FramesPerSecond, 1 / secondary.FramesPerSecond),
        })
        {
            Warnings = ["The clips were lined up by their timecodes: that is right only if both cameras were set to one clock, and accurate to a frame at best."],
        };
    }

    private static double Shared(double offset, double primarySeconds, double secondarySeconds) =>
        Math.Min(primarySeconds, secondarySeconds - offset) - Math.Max(0, -offset);

    private static SyncRefused Refused(string reason) => new(
        SyncRefusal.NoCommonTimecode, reason, "Line them up by sound, or by eye.", 0, new SyncEvidence());
}
