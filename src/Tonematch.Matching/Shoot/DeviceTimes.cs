using Tonematch.Media.Clips;
using Tonematch.Shoot;
using Tonematch.Sync;

namespace Tonematch.Matching.Shoot;

/// <summary>What a device's own clock showed when its recordings began, of the same kind for all its clips.</summary>
internal static class DeviceTimes
{
    // Dates have a resolution of one second; some come from the file system and some from the end of the recording.
    private const double DateErrorSeconds = 3;

    /// <summary>
    /// The time of a clip; null if the file does not state it, or only in a form that other clips of the device lack.
    /// </summary>
    /// <param name="clip">A clip of the camera.</param>
    /// <param name="camera">All its clips.</param>
    public static DeviceTime? Of(ClipInfo clip, ShootCamera camera) => Exact(clip) is { } exact ? exact
        : camera.Clips.Any(c => Exact(c) is not null) || clip.RecordedAt is not { } date ? null
        : new DeviceTime(date.ToUnixTimeMilliseconds() / 1000.0, DateErrorSeconds);

    // Timecodes and time references count from midnight, dates from an epoch: they cannot be mixed.
    private static DeviceTime? Exact(ClipInfo clip) =>
        clip.TimeReferenceSeconds is double seconds ? new DeviceTime(seconds, 0.001)
        : clip.Timecode is { } text && Timecode.TryParse(text, clip.FrameRate.Value, out Timecode? code, out _) && code.Frame > 0
            ? new DeviceTime(code.Seconds, 1 / clip.FrameRate.Value)
            : null;
}
