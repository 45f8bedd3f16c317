using System.Numerics;
using System.Runtime.InteropServices;

namespace Tonematch.Sync;

/// <summary>Reads stretches of a sound at another rate and at any place between its samples.</summary>
/// <remarks>Band-limited interpolation by a Hann-windowed sinc (Smith and Gossett, ICASSP 1984), 256 phases.</remarks>
internal sealed class SoundReader
{
    private const int Phases = 256;
    private const int ZeroCrossings = 12;

    private readonly MonoSound _sound;
    private readonly int _rate;
    private readonly int _taps;
    private readonly float[] _table;

    public SoundReader(MonoSound sound, int rate)
    {
        (_sound, _rate) = (sound, rate);
        double cut = Math.Min(1, (double)rate / sound.SampleRate);
        int half = (int)Math.Ceiling(ZeroCrossings / cut);
        _taps = (int)(((2 * half) + 15) & ~7u);
        _table = new float[(Phases + 1) * _taps];
        for (int p = 0; p <= Phases; p++)
        {
            for (int k = 0; k < 2 * half; k++)
            {
                double x = k - half + 1 - ((double)p / Phases);
                double window = Math.Abs(x) < half ? 0.5 + (0.5 * Math.Cos(Math.PI * x / half)) : 0;
                double sinc = x == 0 ? 1 : Math.Sin(Math.PI * cut * x) / (Math.PI * cut * x);
                _table[(p * _taps) + k] = (float)(cut * sinc * window);
            }
        }

        Half = half;
    }

    private int Half { get; }

    /// <summary>
    /// Fills <paramref name="points"/> with the sound at startSeconds + k * stretch / rate, counted from its first
    /// sample; 0 outside.
    /// </summary>
    public void Read(double startSeconds, double stretch, Span<float> points)
    {
        ReadOnlySpan<float> samples = _sound.Samples;
        double step = stretch * _sound.SampleRate / _rate, start = startSeconds * _sound.SampleRate;
        for (int k = 0; k < points.Length; k++)
        {
            double place = start + (k * step);
            double whole = Math.Floor(place);
            int phase = (int)(((place - whole) * Phases) + 0.5);
            long first = (long)whole - Half + 1;
            if (first >= 0 && first + _taps <= samples.Length)
            {
                points[k] = Dot(
                    ref MemoryMarshal.GetReference(samples.Slice((int)first, _taps)),
                    ref MemoryMarshal.GetReference(_table.AsSpan(phase * _taps, _taps)));
            }
            else
            {
                float sum = 0;
                for (int i = 0; i < _taps; i++)
                {
                    long at = first + i;
                    sum += at >= 0 && at < samples.Length ? samples[(int)at] * _table[(phase * _taps) + i] : 0;
                }

                points[k] = sum;
            }
        }
    }

    private float Dot(ref float a, ref float b)
    {
        Vector<float> sum = Vector<float>.Zero;
        for (int i = 0; i < _taps; i += Vector<float>.Count)
        {
            sum += Vector.LoadUnsafe(ref a, (nuint)i) * Vector.LoadUnsafe(ref b, (nuint)i);
        }

        return Vector.Sum(sum);
    }
}
