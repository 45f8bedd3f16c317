using System.Numerics;
using System.Runtime.CompilerServices;
using Tonematch.Numerics;

namespace Tonematch.Sync.Sound.Signals;

/// <summary>
/// The strength of sound onsets, a hundred times a second, in a few bands: a feature that two microphones in different
/// rooms and with automatic level control still have in common.
/// </summary>
/// <remarks>
/// Rise of the logarithm of a band's energy over 20 ms (spectral flux; Bello et al., 'A tutorial on onset detection in
/// music signals', IEEE Trans. Speech Audio Processing 13(5), 2005), minus its local mean and divided by its local
/// spread.
/// </remarks>
internal sealed class OnsetEnvelope
{
    public const int FramesPerSecond = 100;
    public const int Channels = 4;

    private const int Bands = 8;
    private const double LowestHertz = 120;
    private const double WindowSeconds = 0.03;

    // Frames for the local mean and spread: 4 s before and after.
    private const int LocalFrames = 4 * FramesPerSecond;

    // A clap counts more than a syllable, but up to a limit.
    private const float LargestValue = 10;

    private readonly float[][] _channels;

    private OnsetEnvelope(float[][] channels) => _channels = channels;

    public int Frames => _channels[0].Length;

    public ReadOnlySpan<float> Channel(int index) => _channels[index];

    /// <summary>Sum over the channels, used to locate onsets.</summary>
    public float TotalAt(int frame) => _channels[0][frame] + _channels[1][frame] + _channels[2][frame] + _channels[3][frame];

    /// <param name="sound">At least one window long.</param>
    /// <param name="highestHertz">Top of the highest band; the same for both sounds of a pair.</param>
    /// <param name="cancel">Cancels the work.</param>
    public static OnsetEnvelope Of(MonoSound sound, double highestHertz, CancellationToken cancel)
    {
        float[][] energy = BandEnergies(sound, highestHertz, cancel);
        int frames = energy[0].Length;
        float[][] channels = new float[Channels][];
        for (int c = 0; c < Channels; c++)
        {
            cancel.ThrowIfCancellationRequested();
            channels[c] = new float[frames];
        }

        for (int b = 0; b < Bands; b++)
        {
            AddRises(energy[b], channels[b * Channels / Bands]);
            energy[b] = [];
        }

        for (int c = 0; c < Channels; c++)
        {
            cancel.ThrowIfCancellationRequested();
            NormaliseLocally(channels[c]);
        }

        return new OnsetEnvelope(channels);
    }

    private static float[][] BandEnergies(MonoSound sound, double highestHertz, CancellationToken cancel)
    {
        // High rates are averaged down first; aliasing is far below the bands' own energy.
        int factor = Math.Max(1, sound.SampleRate / 16000);
        double rate = (double)sound.SampleRate / factor;
        int length = Math.Max(8, (int)(WindowSeconds * rate));
        int size = (int)BitOperations.RoundUpToPowerOf2((uint)length);
        FourierTransform transform = FourierTransform.OfSize(size);
        float[] window = [.. Enumerable.Range(0, length).Select(k => (float)(0.5 - (0.5 * Math.Cos(2 * Math.PI * (k + 0.5) / length))))];
        List<(int Position, int Band)> bins = [];
        for (int bin = 0; bin <= size / 2; bin++)
        {
            double hertz = bin * rate / size;
            double place = Bands * Math.Log(hertz / LowestHertz) / Math.Log(highestHertz / LowestHertz);
            if (place >= 0 && place < Bands)
            {
                bins.Add((transform.PositionOf(bin), (int)place));
            }
        }

        int[] positions = [.. bins.Select(b => b.Position)];
        int[] ends = [.. Enumerable.Range(0, Bands).Select(b => bins.Count(x => x.Band <= b))];
        int frames = Math.Max(1, (int)(sound.DurationSeconds * FramesPerSecond));
        float[][] energy = [.. Enumerable.Range(0, Bands).Select(_ => new float[frames])];

        // Processed together, so that sound shared by neighbouring frames is read once.
        const int FramesAtOnce = 32;
        int together = ((int)Math.Ceiling((double)FramesAtOnce * sound.SampleRate / FramesPerSecond / factor) + length + 1) * factor;
        Parallel.For(
            0, (frames + FramesAtOnce - 1) / FramesAtOnce, new ParallelOptions { CancellationToken = cancel },
            () => (Re: new float[size], Im: new float[size], Samples: new float[together]),
            (block, _, own) =>
            {
                int from = block * FramesAtOnce, to = Math.Min(frames, from + FramesAtOnce);
                long start = StartOf(from);
                sound.Read(start, own.Samples);
                for (int f = from; f < to; f += 2)
                {
                    // Two real frames in one complex transform.
                    Fill(own.Samples.AsSpan((int)(StartOf(f) - start)), factor, window, own.Re);
                    Fill(own.Samples.AsSpan((int)(StartOf(Math.Min(f + 1, to - 1)) - start)), factor, window, own.Im);
                    transform.Forward(own.Re, own.Im);
                    for (int b = 0, k = 0; b < Bands; b++)
                    {
                        float first = 0, second = 0;
                        for (; k < ends[b]; k++)
                        {
                            int p = positions[k], q = FourierTransform.MirrorOf(p);
                            float ar = own.Re[p] + own.Re[q], ai = own.Im[p] - own.Im[q], br = own.Im[p] + own.Im[q], bi = own.Re[q] - own.Re[p];
                            first += (ar * ar) + (ai * ai);
                            second += (br * br) + (bi * bi);
                        }

                        energy[b][f] = first;
                        energy[b][Math.Min(f + 1, to - 1)] = f + 1 < to ? second : first;
                    }
                }

                return own;
            },
            _ => { });
        return energy;

        long StartOf(int frame) => ((long)frame * sound.SampleRate / FramesPerSecond) - ((long)length * factor / 2);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Fill(ReadOnlySpan<float> samples, int factor, float[] window, float[] points)
    {
        int k = 0;
        for (; factor == 1 && k + Vector<float>.Count <= window.Length; k += Vector<float>.Count)
        {
            (new Vector<float>(samples[k..]) * new Vector<float>(window, k)).CopyTo(points, k);
        }

        for (; k < window.Length; k++)
        {
            float sum = 0;
            for (int i = 0; i < factor; i++)
            {
                sum += samples[(k * factor) + i];
            }

            points[k] = sum * window[k] / factor;
        }

        points.AsSpan(window.Length).Clear();
    }

    private static void AddRises(float[] energy, float[] sum)
    {
        int frames = energy.Length;

        // Below a tenth of the usual energy, or 60 dB below the loudest, nothing counts as an onset.
        float[] sorted = [.. energy.Where((_, i) => i % Math.Max(1, frames / 4096) == 0)];
        Array.Sort(sorted);
        float floor = Math.Max(Math.Max(0.1f * sorted[sorted.Length / 2], 1e-6f * energy.Max()), 1e-12f);
        for (int f = 0; f < frames; f++)
        {
            energy[f] = MathF.Log(energy[f] + floor);
        }

        for (int f = 1; f + 1 < frames; f++)
        {
            sum[f] += Math.Max(0, energy[f + 1] - energy[f - 1]);
        }
    }

    private static void NormaliseLocally(float[] values)
    {
        int frames = values.Length;
        double[] sum = new double[frames + 1], squares = new double[frames + 1];
        for (int f = 0; f < frames; f++)
        {
            sum[f + 1] = sum[f] + values[f];
            squares[f + 1] = squares[f] + ((double)values[f] * values[f]);
        }

        double mean = sum[frames] / frames;
        double spread = Math.Sqrt(Math.Max(0, (squares[frames] / frames) - (mean * mean)));
        if (spread <= 0)
        {
            Array.Clear(values);
            return;
        }

        for (int f = 0; f < frames; f++)
        {
            int from = Math.Max(0, f - LocalFrames), to = Math.Min(frames, f + LocalFrames + 1);
            double localMean = (sum[to] - sum[from]) / (to - from);
            double localSpread = Math.Sqrt(Math.Max(0, ((squares[to] - squares[from]) / (to - from)) - (localMean * localMean)));
            values[f] = (float)Math.Min(LargestValue, (values[f] - localMean) / (localSpread + (0.3 * spread)));
        }
    }
}
