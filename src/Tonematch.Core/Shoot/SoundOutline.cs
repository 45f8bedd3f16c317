using Tonematch.Sync.Sound;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Shoot;

/// <summary>
/// The onsets of sound in a recording, sampled a hundred times a second: 1.6 kB per second, so that hours of many
/// recordings can be compared at once.
/// </summary>
public sealed class SoundOutline
{
    private SoundOutline(OnsetEnvelope onsets, double startSeconds) => (Onsets, StartSeconds) = (onsets, startSeconds);

    /// <summary>The start of the outline, in seconds of the clip's own time.</summary>
    public double StartSeconds { get; }

    /// <summary>Its length, seconds.</summary>
    public double DurationSeconds => (double)Onsets.Frames / OnsetEnvelope.FramesPerSecond;

    internal OnsetEnvelope Onsets { get; }

    /// <summary>The outline of a recording, or null if it is too short to be compared (1 s).</summary>
    /// <param name="sound">At least 4000 samples per second.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <exception cref="ArgumentOutOfRangeException">The rate is below 4000.</exception>
    public static SoundOutline? Of(MonoSound sound, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(sound);
        ArgumentOutOfRangeException.ThrowIfLessThan(sound.SampleRate, 4000, nameof(sound));

        // The same bands for every recording of the shoot, whatever its rate.
        return sound.DurationSeconds < SoundSync.ShortestSeconds
            ? null
            : new SoundOutline(OnsetEnvelope.Of(sound, Math.Min(3600, 0.45 * sound.SampleRate), cancel), sound.StartSeconds);
    }
}
