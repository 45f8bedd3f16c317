namespace Tonematch.Sync;

/// <summary>A stretch of sound in one channel, placed on its clip's own time line.</summary>
public sealed class MonoSound
{
    private readonly float[] _samples;

    /// <summary>Takes over the samples; the caller must not change them afterwards.</summary>
    /// <param name="samples">Samples in time order, full scale -1..1; values beyond (a mix) are kept. May be empty.</param>
    /// <param name="sampleRate">Samples a second, above 0.</param>
    /// <param name="startSeconds">When the first sample is heard, in seconds of the clip's presentation time: the
    /// time line of its frames, whose 0 is the clip's start. May be below 0 or above it.</param>
    /// <exception cref="ArgumentException">The rate is not above 0 or the start is not a finite number.</exception>
    public MonoSound(float[] samples, int sampleRate, double startSeconds)
    {
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRate, 1);
        if (!double.IsFinite(startSeconds))
        {
            throw new ArgumentOutOfRangeException(nameof(startSeconds), startSeconds, "The start must be a finite number of seconds.");
        }

        (_samples, SampleRate, StartSeconds) = (samples, sampleRate, startSeconds);
    }

    /// <summary>The samples in time order.</summary>
    public ReadOnlySpan<float> Samples => _samples;

    /// <summary>Samples a second.</summary>
    public int SampleRate { get; }

    /// <summary>When the first sample is heard, in seconds on the clip's presentation time line.</summary>
    public double StartSeconds { get; }

    /// <summary>How long the sound lasts, in seconds.</summary>
    public double DurationSeconds => (double)_samples.Length / SampleRate;
}
