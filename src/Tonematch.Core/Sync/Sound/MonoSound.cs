using System.Numerics;
using System.Runtime.CompilerServices;

namespace Tonematch.Sync.Sound;

/// <summary>A stretch of sound in one channel, placed on its clip's own time line.</summary>
/// <remarks>
/// Kept in 16 bits a sample with a scale for every 1024 of them, so that hours fit into memory: what is lost stays 98 dB
/// below the loudest sample of those 1024, in quiet stretches too.
/// </remarks>
public sealed class MonoSound
{
    // Arrays of two megabytes: large enough that they are never moved, small enough that the last one wastes little.
    private const int PartSamples = 1 << 20;
    private const int BlockSamples = 1024;
    private const float Steps = 32767;

    private readonly List<(short[] Samples, float[] Scales)> _parts = [];

    /// <summary>Keeps a copy of the samples.</summary>
    /// <param name="samples">Samples in time order, full scale -1..1; values beyond (a mix) are kept, what is not a finite
    /// number counts as 0. May be empty.</param>
    /// <param name="sampleRate">Samples a second, above 0.</param>
    /// <param name="startSeconds">When the first sample is heard, in seconds of the clip's presentation time: the
    /// time line of its frames, whose 0 is the clip's start. May be below 0 or above it.</param>
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

    /// <summary>Samples a second.</summary>
    public int SampleRate { get; }

    /// <summary>When the first sample is heard, in seconds on the clip's presentation time line.</summary>
    public double StartSeconds { get; }

    /// <summary>How long the sound lasts, in seconds.</summary>
    public double DurationSeconds => (double)Length / SampleRate;

    /// <summary>A sound from pieces that arrive one after the other; an hour is never held at full precision.</summary>
    /// <param name="pieces">Pieces in time order; each may be overwritten when the next one is asked for. All but the last
    /// hold a multiple of 1024 samples.</param>
    /// <param name="sampleRate">Samples a second, above 0.</param>
    /// <param name="startSeconds">When the first sample is heard; see the constructor.</param>
    /// <exception cref="ArgumentException">As the constructor's; or a piece after one that ends within 1024 samples.</exception>
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

    /// <summary>Fills <paramref name="points"/> with the samples from number <paramref name="first"/> on; 0 outside.</summary>
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

    /// <summary>A copy of a stretch, on the same time line; what lies outside this sound is left out.</summary>
    /// <param name="fromSeconds">Where it begins, in seconds of the clip's time.</param>
    /// <param name="toSeconds">Where it ends.</param>
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

    /// <summary>All samples, as a new array: for short sounds.</summary>
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
