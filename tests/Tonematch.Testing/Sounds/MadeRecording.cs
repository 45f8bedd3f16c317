using System.Numerics;
using Tonematch.Numerics;

namespace Tonematch.Testing.Sounds;

/// <summary>What a recorder makes of a sound.</summary>
public static class MadeRecording
{
    /// <summary>A sound through a response (room, microphone), as long as the sound.</summary>
    public static float[] Convolve(float[] sound, float[] response)
    {
        int size = (int)BitOperations.RoundUpToPowerOf2((uint)Math.Max(4 * response.Length, 1 << 14)), step = size - response.Length + 1;
        FourierTransform transform = FourierTransform.OfSize(size);
        float[] hr = new float[size], hi = new float[size];
        response.CopyTo(hr, 0);
        transform.Forward(hr, hi);
        float[] result = new float[sound.Length];
        float[] re = new float[size], im = new float[size];
        for (int start = 0; start < sound.Length; start += step)
        {
            Array.Clear(re);
            Array.Clear(im);
            sound.AsSpan(start, Math.Min(step, sound.Length - start)).CopyTo(re);
            transform.Forward(re, im);
            for (int k = 0; k < size; k++)
            {
                (re[k], im[k]) = ((re[k] * hr[k]) - (im[k] * hi[k]), (re[k] * hi[k]) + (im[k] * hr[k]));
            }

            transform.InverseUnscaled(re, im);
            for (int k = 0; k < size && start + k < result.Length; k++)
            {
                result[start + k] += re[k] / size;
            }
        }

        return result;
    }

    /// <summary>
    /// Samples of a recorder with its own clock: sample k is the sound at startSeconds + k / (rate (1 + driftPpm 1e-6)).
    /// A positive drift makes the recorder count more seconds than pass.
    /// </summary>
    public static float[] Record(float[] sound, int soundRate, double startSeconds, double seconds, int rate, double driftPpm = 0)
    {
        float[] result = new float[(int)(seconds * rate)];
        double step = soundRate / (rate * (1 + (driftPpm * 1e-6))), cut = Math.Min(1, 1 / step);
        int half = (int)Math.Ceiling(16 / cut);
        if (Math.Abs(step - 1) < 1e-12 && Math.Abs((startSeconds * soundRate) - Math.Round(startSeconds * soundRate)) < 1e-6)
        {
            int first = (int)Math.Round(startSeconds * soundRate);
            for (int k = 0; k < result.Length; k++)
            {
                result[k] = first + k >= 0 && first + k < sound.Length ? sound[first + k] : 0;
            }

            return result;
        }

        const int Phases = 1024;
        float[] table = new float[(Phases + 1) * 2 * half];
        for (int p = 0; p <= Phases; p++)
        {
            for (int k = 0; k < 2 * half; k++)
            {
                double x = k - half + 1 - ((double)p / Phases);
                double sinc = x == 0 ? 1 : Math.Sin(Math.PI * cut * x) / (Math.PI * cut * x);
                table[(p * 2 * half) + k] = (float)(cut * sinc * (Math.Abs(x) < half ? 0.5 + (0.5 * Math.Cos(Math.PI * x / half)) : 0));
            }
        }

        for (int k = 0; k < result.Length; k++)
        {
            double place = (startSeconds * soundRate) + (k * step), whole = Math.Floor(place);
            int phase = (int)(((place - whole) * Phases) + 0.5);
            long first = (long)whole - half + 1;
            float sum = 0;
            if (first >= 0 && first + (2 * half) <= sound.Length)
            {
                for (int i = 0; i < 2 * half; i++)
                {
                    sum += sound[first + i] * table[(phase * 2 * half) + i];
                }
            }

            result[k] = sum;
        }

        return result;
    }

    /// <summary>Noise added at a ratio to the sound's own root mean square, decibels.</summary>
    public static float[] WithNoise(float[] sound, double signalToNoiseDb, int seed)
    {
        Random random = new(seed);
        double level = Rms(sound) * Math.Pow(10, -signalToNoiseDb / 20);
        return [.. sound.Select(s => s + (float)(level * MadeSound.Gaussian(random)))];
    }

    /// <summary>Automatic level: the gain follows the level of the last half second, then the sound is limited.</summary>
    public static float[] WithAutomaticLevel(float[] sound, int rate)
    {
        float[] result = new float[sound.Length];
        double level = 0, attack = 1 - Math.Exp(-1 / (0.01 * rate)), release = 1 - Math.Exp(-1 / (0.5 * rate)), floor = 0.05 * Rms(sound);
        for (int k = 0; k < sound.Length; k++)
        {
            double now = Math.Abs(sound[k]);
            level += (now > level ? attack : release) * (now - level);
            result[k] = (float)Math.Tanh(0.2 * sound[k] / (level + floor));
        }

        return result;
    }

    /// <summary>A small microphone: little below and above a band (first-order high-pass and low-pass).</summary>
    public static float[] Coloured(float[] sound, int rate, double lowHertz, double highHertz)
    {
        float[] result = new float[sound.Length];
        double low = 1 - Math.Exp(-2 * Math.PI * lowHertz / rate), high = 1 - Math.Exp(-2 * Math.PI * highHertz / rate), slow = 0, fast = 0;
        for (int k = 0; k < sound.Length; k++)
        {
            slow += low * (sound[k] - slow);
            fast += high * (sound[k] - slow - fast);
            result[k] = (float)fast;
        }

        return result;
    }

    /// <summary>Root mean square.</summary>
    public static double Rms(float[] sound) => Math.Sqrt(sound.Sum(s => (double)s * s) / Math.Max(1, sound.Length));
}
