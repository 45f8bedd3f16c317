using System.Numerics;
using System.Runtime.CompilerServices;

namespace Tonematch.Sync.Sound;

/// <summary>Sound in one channel, placed on its clip's own time line.</summary>
/// <remarks>
/// Stored in 16 bits per sample with a scale for every 1024 samples, so that hours fit into memory: the error stays 98
/// dB below the loudest of those 1024 samples, even in quiet passages.
/// </remarks>
public sealed class MonoSound
{
    // Arrays of two megabytes: large enough to be never moved, small enough that the last one wastes little.
    private const int PartSamples = 1 << 20;
    private const int BlockSamples = 1024;
    private const float Steps = 32767;

    private readonly List<(short[] Samples, float[] Scales)> _parts = [];

    /// <summary>Keeps a copy of the samples.</summary>
    /// <param name="samples">Samples in time order, full scale -1..1; values beyond (a mix) are kept, non-finite values count as 0. May be empty.</param>
    /// <param name="sampleRate">Samples per second, above 0.</param>
    /// <param name="startSeconds">Time of the first sample, in seconds of the clip's presentation time, the time line of its frames with 0 at the clip's start. May be negative or positive.</param>
    /// <exception cref="ArgumentException">The rate is not above 0 or the start is not a finite number.</exception>
    public MonoSound(ReadOnlySpan<float> samples, int sampleRate, double startSeconds)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRate, 1);
        if (!double.IsFinite(startSeconds))
        {
            throw new ArgumentOutOfRangeException(nameof(startSeconds), startSeconds, "The start must be a finite number of seconds.");
        }

        (SampleRate, StartSeconds) = (sampleRate, startSeconds);
        Append(samples, whole: true);
    }

    /// <summary>Number of samples.</summary>
    public int Length { get; private set; }

    /// <summary>Samples per second.</summary>
    public int SampleRate { get; }

    /// <summary>Time of the first sample, in seconds on the clip's presentation time line.</summary>
    public double StartSeconds { get; }

    /// <summary>The length of the sound, seconds.</summary>
    public double DurationSeconds => (double)Length / SampleRate;

    /// <summary>
    /// Collects a sound from pieces that arrive one after the other; an hour is never held at full precision.
    /// </summary>
    /// <param name="pieces">Pieces in time order; each may be overwritten when the next one is requested. All but the
    /// last hold a multiple of 1024 samples.</param>
    /// <param name="sampleRate">Samples per second, above 0.</param>
    /// <param name="startSeconds">Time of the first sample; see the constructor.</param>
    /// <exception cref="ArgumentException">As in the constructor; or a piece follows one whose length is not a multiple of 1024.</exception>
    public static async Task<MonoSound> GatherAsync(IAsyncEnumerable<ReadOnlyMemory<float>> pieces, int sampleRate, double startSeconds)
    {
        ArgumentNullException.ThrowIfNull(pieces);
        MonoSound sound = new([], sampleRate, startSeconds);
        await foreach (ReadOnlyMemory<float> piece in pieces.ConfigureAwait(false))
        {
            sound.Append(piece.Span, whole: false);
        }

        if (sound._parts.Count > 0)
        {
            int used = sound.Length - ((sound._parts.Count - 1) * PartSamples);
            sound._parts[^1] = (sound._parts[^1].Samples[..used], sound._parts[^1].Scales);
        }

        return sound;
    }

    /// <summary>
    /// Fills <paramref name="points"/> with the samples from index <paramref name="first"/> on; 0 outside.
    /// </summary>
    public void Read(long first, Span<float> points)
    {
        long from = Math.Clamp(first, 0, Length), to = Math.Clamp(first + points.Length, from, Length);
        points[..(int)Math.Clamp(from - first, 0, points.Length)].Clear();
        points[(int)Math.Clamp(to - first, 0, points.Length)..].Clear();
        for (long at = from; at < to;)
        {
            (short[] samples, float[] scales) = _parts[(int)(at / PartSamples)];
            int inside = (int)(at % PartSamples), count = (int)Math.Min(to - at, BlockSamples - (inside % BlockSamples));
            Widen(samples.AsSpan(inside, count), scales[inside / BlockSamples], points.Slice((int)(at - first), count));
            at += count;
        }
    }

    /// <summary>A copy of a part, on the same time line, limited to this sound.</summary>
    /// <param name="fromSeconds">Its start, in seconds of the clip's time.</param>
    /// <param name="toSeconds">Its end.</param>
    public MonoSound Part(double fromSeconds, double toSeconds)
    {
        int from = (int)Math.Clamp((fromSeconds - StartSeconds) * SampleRate, 0, Length);
        int to = (int)Math.Clamp((toSeconds - StartSeconds) * SampleRate, from, Length);
        MonoSound part = new([], SampleRate, StartSeconds + ((double)from / SampleRate));
        float[] samples = new float[Math.Min(to - from, PartSamples)];
        for (int at = from; at < to; at += samples.Length)
        {
            Span<float> some = samples.AsSpan(0, Math.Min(samples.Length, to - at));
            Read(at, some);
            part.Append(some, whole: true);
        }

        return part;
    }

    /// <summary>All samples as a new array; for short sounds.</summary>
    public float[] ToArray()
    {
        float[] all = new float[Length];
        Read(0, all);
        return all;
    }

    private void Append(ReadOnlySpan<float> samples, bool whole)
    {
        if (samples.Length > 0 && Length % BlockSamples != 0)
        {
            throw new ArgumentException($"Only the last piece may end within {BlockSamples} samples.");
        }

        while (samples.Length > 0)
        {
            int inside = Length % PartSamples;
            if (inside == 0)
            {
                int length = whole ? Math.Min(samples.Length, PartSamples) : PartSamples;
                _parts.Add((new short[length], new float[(length + BlockSamples - 1) / BlockSamples]));
            }

            (short[] kept, float[] scales) = _parts[^1];
            int count = Math.Min(samples.Length, BlockSamples);
            scales[inside / BlockSamples] = Narrow(samples[..count], kept.AsSpan(inside, count));
            samples = samples[count..];
            Length += count;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static float Narrow(ReadOnlySpan<float> samples, Span<short> kept)
    {
        float peak = 0;
        foreach (float s in samples)
        {
            peak = float.IsFinite(s) ? Math.Max(peak, Math.Abs(s)) : peak;
        }

        float scale = peak / Steps;
        for (int k = 0; k < kept.Length; k++)
        {
            kept[k] = scale > 0 && float.IsFinite(samples[k]) ? (short)MathF.Round(samples[k] / scale) : (short)0;
        }

        return scale;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Widen(ReadOnlySpan<short> kept, float scale, Span<float> points)
    {
        int k = 0, half = Vector<float>.Count;
        for (; k + Vector<short>.Count <= kept.Length; k += Vector<short>.Count)
        {
            Vector.Widen(new Vector<short>(kept[k..]), out Vector<int> low, out Vector<int> high);
            (Vector.ConvertToSingle(low) * scale).CopyTo(points[k..]);
            (Vector.ConvertToSingle(high) * scale).CopyTo(points[(k + half)..]);
        }

        for (; k < kept.Length; k++)
        {
            points[k] = kept[k] * scale;
        }
    }
}
