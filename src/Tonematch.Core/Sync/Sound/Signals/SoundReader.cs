using System.Buffers;
using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Tonematch.Sync.Sound.Signals;

/// <summary>Resamples sections of a sound to another rate and at any position between its samples.</summary>
/// <remarks>Band-limited interpolation by a Hann-windowed sinc (Smith and Gossett, ICASSP 1984), 256 phases.</remarks>
internal sealed class SoundReader
{
    private const int Phases = 256;
    private const int ZeroCrossings = 12;

    // Points made at once: the sound they need stays in the first-level cache.
    private const int AtOnce = 2048;

    // Largest difference between the rates of sound and points up to which many neighbouring points share a phase.
    private const double RunsFrom = 0.0005;

    private readonly MonoSound _sound;
    private readonly int _rate;
    private readonly int _half;
    private readonly int _taps;
    private readonly float[] _table;

    public SoundReader(MonoSound sound, int rate)
    {
        (_sound, _rate) = (sound, rate);
        double cut = Math.Min(1, (double)rate / sound.SampleRate);
        _half = (int)Math.Ceiling(ZeroCrossings / cut);
        _taps = (int)(((2 * _half) + 7) & ~7u);
        _table = new float[Phases * _taps];
        for (int p = 0; p < Phases; p++)
        {
            for (int k = 0; k < 2 * _half; k++)
            {
                double x = k - _half + 1 - ((double)p / Phases);
                double window = Math.Abs(x) < _half ? 0.5 + (0.5 * Math.Cos(Math.PI * x / _half)) : 0;
                double sinc = x == 0 ? 1 : Math.Sin(Math.PI * cut * x) / (Math.PI * cut * x);
                _table[(p * _taps) + k] = (float)(cut * sinc * window);
            }
        }
    }

    /// <summary>
    /// Fills <paramref name="points"/> with the sound at startSeconds + k * stretch / rate, counted from its first
    /// sample; 0 outside.
    /// </summary>
    public void Read(double startSeconds, double stretch, Span<float> points)
    {
        double step = stretch * _sound.SampleRate / _rate, start = startSeconds * _sound.SampleRate;
        float[] samples = ArrayPool<float>.Shared.Rent((int)(AtOnce * step) + _taps + 16);
        for (int done = 0; done < points.Length; done += AtOnce)
        {
            Span<float> part = points[done..Math.Min(points.Length, done + AtOnce)];
            double from = start + (done * step);
            long first = (long)Math.Floor(from) - _half + 1;
            Span<float> needed = samples.AsSpan(0, (int)(part.Length * step) + _taps + 2);
            _sound.Read(first, needed);
            if (Math.Abs(step - 1) < RunsFrom)
            {
                InRuns(from - first, step - 1, needed, part);
            }
            else
            {
                PointByPoint(from - first, step, needed, part);
            }
        }

        ArrayPool<float>.Shared.Return(samples);
    }

    // The phase moves by less than a sample in a thousand points, so many neighbours share it: eight points per vector.
    private void InRuns(double place, double drift, ReadOnlySpan<float> samples, Span<float> points)
    {
        for (int k = 0; k < points.Length;)
        {
            long steps = (long)Math.Floor(((place + (k * drift)) * Phases) + 0.5);
            double next = drift == 0 ? points.Length : (((steps + (drift > 0 ? 0.5 : -0.5)) / Phases) - place) / drift;
            int end = (int)Math.Clamp(Math.Ceiling(next), k + 1, points.Length);
            int whole = (int)(steps / Phases) - _half + 1, phase = (int)(steps % Phases);
            if (phase == 0)
            {
                // At the samples themselves the interpolation kernel is 1 there and 0 at the others.
                samples.Slice(whole + k + _half - 1, end - k).CopyTo(points[k..]);
                k = end;
                continue;
            }

            Filter(
                ref MemoryMarshal.GetReference(samples[(whole + k)..]), ref MemoryMarshal.GetReference(_table.AsSpan(phase * _taps)),
                2 * _half, points[k..end]);
            k = end;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Filter(ref float samples, ref float taps, int count, Span<float> points)
    {
        ref float to = ref MemoryMarshal.GetReference(points);
        int k = 0;
        for (; k + (2 * Vector<float>.Count) <= points.Length; k += 2 * Vector<float>.Count)
        {
            Vector<float> first = Vector<float>.Zero, second = Vector<float>.Zero;
            for (int i = 0; i < count; i++)
            {
                Vector<float> tap = new(Unsafe.Add(ref taps, i));
                first += tap * Vector.LoadUnsafe(ref samples, (nuint)(k + i));
                second += tap * Vector.LoadUnsafe(ref samples, (nuint)(k + i + Vector<float>.Count));
            }

            first.StoreUnsafe(ref to, (nuint)k);
            second.StoreUnsafe(ref to, (nuint)(k + Vector<float>.Count));
        }

        for (; k < points.Length; k++)
        {
            float sum = 0;
            for (int i = 0; i < count; i++)
            {
                sum += Unsafe.Add(ref taps, i) * Unsafe.Add(ref samples, k + i);
            }

            points[k] = sum;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void PointByPoint(double place, double step, ReadOnlySpan<float> samples, Span<float> points)
    {
        for (int k = 0; k < points.Length; k++)
        {
            long steps = (long)Math.Floor(((place + (k * step)) * Phases) + 0.5);
            int first = (int)(steps / Phases) - _half + 1;
            ref float a = ref MemoryMarshal.GetReference(samples.Slice(first, _taps));
            ref float b = ref MemoryMarshal.GetReference(_table.AsSpan((int)(steps % Phases) * _taps, _taps));
            Vector<float> sum = Vector<float>.Zero;
            for (int i = 0; i < _taps; i += Vector<float>.Count)
            {
                sum += Vector.LoadUnsafe(ref a, (nuint)i) * Vector.LoadUnsafe(ref b, (nuint)i);
            }

            points[k] = Vector.Sum(sum);
        }
    }
}
