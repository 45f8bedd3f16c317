namespace Tonematch.Sync;

/// <summary>
/// How strongly sound begins, a hundred times a second, in a few bands: what two microphones in unlike rooms and with
/// automatic level still have in common.
/// </summary>
/// <remarks>
/// Rise of the logarithm of a band's energy over 20 ms (spectral flux; Bello et al., 'A tutorial on onset detection in
/// music signals', IEEE Trans. Speech Audio Processing 13(5), 2005), less its local mean and over its local spread.
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

    // A clap may count more than a syllable, but not without limit.
    private const float LargestValue = 10;

    private readonly float[][] _channels;

    private OnsetEnvelope(float[][] channels) => _channels = channels;

    public int Frames => _channels[0].Length;

    public ReadOnlySpan<float> Channel(int index) => _channels[index];

    /// <summary>Sum over the channels: where to look for onsets.</summary>
    public float TotalAt(int frame) => _channels[0][frame] + _channels[1][frame] + _channels[2][frame] + _channels[3][frame];

    /// <param name="sound">At least one window long.</param>
    /// <param name="highestHertz">Top of the highest band; the same for both sounds of a pair.</param>
    /// <param name="cancel">Ends the work early.</param>
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
        // High rates are averaged down first; what folds back is far below the bands' own energy.
        int factor = Math.Max(1, sound.SampleRate / 16000);
        double rate = (double)sound.SampleRate / factor;
        int length = Math.Max(8, (int)(WindowSeconds * rate));
        int size = (int)System.Numerics.BitOperations.RoundUpToPowerOf2((uint)length);
        FourierTransform transform = FourierTransform.OfSize(size);
        float[] window = [.. Enumerable.Range(0, length).Select(k => (float)(0.5 - (0.5 * Math.Cos(2 * Math.PI * (k + 0.5) / length))))];
        int[] band = new int[size];
        for (int bin = 0; bin < size; bin++)
        {
            double hertz = bin * rate / size;
            double place = Bands * Math.Log(hertz / LowestHertz) / Math.Log(highestHertz / LowestHertz);
            band[transform.PositionOf(bin)] = bin <= size / 2 && place >= 0 && place < Bands ? (int)place : -1;
        }

        int frames = Math.Max(1, (int)(sound.DurationSeconds * FramesPerSecond));
        float[][] energy = [.. Enumerable.Range(0, Bands).Select(_ => new float[frames])];
        const int FramesAtOnce = 4096;
        Parallel.For(0, (frames + FramesAtOnce - 1) / FramesAtOnce, new ParallelOptions { CancellationToken = cancel }, block =>
        {
            float[] re = new float[size], im = new float[size];
            int last = Math.Min(frames, (block + 1) * FramesAtOnce);
            for (int f = block * FramesAtOnce; f < last; f += 2)
            {
                // Two real frames in one complex transform.
                Fill(sound, f, factor, window, re);
                Fill(sound, Math.Min(f + 1, frames - 1), factor, window, im);
                transform.Forward(re, im);
                for (int p = 0; p < size; p++)
                {
                    if (band[p] < 0)
                    {
                        continue;
                    }

                    int q = FourierTransform.MirrorOf(p);
                    float ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
                    energy[band[p]][f] += (ar * ar) + (ai * ai);
                    if (f + 1 < last)
                    {
                        energy[band[p]][f + 1] += (br * br) + (bi * bi);
                    }
                }
            }
        });
        return energy;
    }

    private static void Fill(MonoSound sound, int frame, int factor, float[] window, float[] points)
    {
        ReadOnlySpan<float> samples = sound.Samples;
        long centre = (long)frame * sound.SampleRate / FramesPerSecond;
        long start = centre - ((long)window.Length * factor / 2);
        for (int k = 0; k < window.Length; k++)
        {
            float sum = 0;
            for (int i = 0; i < factor; i++)
            {
                long at = start + ((long)k * factor) + i;
                sum += at >= 0 && at < samples.Length ? samples[(int)at] : 0;
            }

            points[k] = sum * window[k] / factor;
        }

        points.AsSpan(window.Length).Clear();
    }

    private static void AddRises(float[] energy, float[] sum)
    {
        int frames = energy.Length;

        // Below a tenth of the usual energy, and 60 dB below the loudest, nothing counts as a beginning.
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
