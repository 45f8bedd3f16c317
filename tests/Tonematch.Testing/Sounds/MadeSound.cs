namespace Tonematch.Testing.Sounds;

/// <summary>Sound made from a seed: what a source gives off, before room and microphone. Mono, about -1..1.</summary>
public static class MadeSound
{
    /// <summary>Hand claps at given times: noise bursts of some milliseconds, each unlike the others.</summary>
    public static float[] Claps(int rate, double seconds, IEnumerable<double> times, int seed)
    {
        Random random = new(seed);
        float[] sound = new float[(int)(seconds * rate)];
        foreach (double time in times)
        {
            double decay = 0.003 + (0.006 * random.NextDouble()), loud = 0.5 + (0.5 * random.NextDouble());
            int start = (int)(time * rate);
            double last = 0;
            for (int k = 0; k < 0.08 * rate && start + k < sound.Length; k++)
            {
                double noise = Gaussian(random);
                sound[start + k] += (float)(0.4 * loud * (noise - (0.6 * last)) * Math.Exp(-k / (decay * rate)));
                last = noise;
            }
        }

        return sound;
    }

    /// <summary>About one clap every <paramref name="every"/> seconds, at random.</summary>
    public static float[] RandomClaps(int rate, double seconds, double every, int seed)
    {
        Random random = new(seed);
        List<double> times = [];
        for (double t = every * random.NextDouble(); t < seconds - 0.1; t += every * (0.3 + (1.4 * random.NextDouble())))
        {
            times.Add(t);
        }

        return Claps(rate, seconds, times, seed + 1);
    }

    /// <summary>Talk: voiced syllables through wandering resonances, hisses and pauses.</summary>
    public static float[] Speech(int rate, double seconds, int seed)
    {
        Random random = new(seed);
        float[] sound = new float[(int)(seconds * rate)];
        double pitch = 90 + (130 * random.NextDouble()), at = 0.3 * random.NextDouble(), phase = 0;
        while (at < seconds)
        {
            double length = 0.08 + (0.2 * random.NextDouble());
            bool hiss = random.NextDouble() < 0.25;
            double f1 = 300 + (500 * random.NextDouble()), f2 = 900 + (1400 * random.NextDouble()), f3 = 2300 + (900 * random.NextDouble());
            double bend = pitch * (0.85 + (0.3 * random.NextDouble())), slide = 1 + (0.3 * (random.NextDouble() - 0.5));
            double loud = 0.1 + (0.3 * random.NextDouble());
            Resonance[] resonances = [new(f1, 80, rate), new(f2, 110, rate), new(f3, 170, rate)];
            Resonance high = new(Math.Min(0.4 * rate, 3500 + (2000 * random.NextDouble())), 1500, rate);
            int start = (int)(at * rate), count = (int)(length * rate);
            for (int k = 0; k < count && start + k < sound.Length; k++)
            {
                double part = (double)k / count, envelope = Math.Sin(Math.PI * Math.Sqrt(part));
                double frequency = bend * (1 + ((slide - 1) * part)) * (1 + (0.004 * Gaussian(random)));
                phase += frequency / rate;
                double pulse = 0;
                if (phase >= 1)
                {
                    phase -= Math.Floor(phase);
                    pulse = 1;
                }

                double value = hiss
                    ? 0.25 * high.Next(Gaussian(random))
                    : (2.5 * resonances[0].Next(pulse + (0.01 * Gaussian(random)))) + (1.5 * resonances[1].Next(pulse + (0.02 * Gaussian(random)))) + resonances[2].Next(pulse);
                sound[start + k] += (float)(loud * envelope * value);
            }

            at += length * (0.8 + (0.3 * random.NextDouble()));
            if (random.NextDouble() < 0.12)
            {
                at += 0.2 + (0.9 * random.NextDouble());
            }
        }

        return Limit(sound);
    }

    /// <summary>Music: notes of a scale with overtones on a steady beat, with drums; bars are alike but not the same.</summary>
    public static float[] Music(int rate, double seconds, int seed, bool drums = true)
    {
        Random random = new(seed);
        float[] sound = new float[(int)(seconds * rate)];
        double beat = 60.0 / (70 + (80 * random.NextDouble()));
        double root = 110 * Math.Pow(2, random.NextDouble());
        int[] scale = [0, 2, 4, 5, 7, 9, 11, 12, 14, 16];
        int eighths = (int)(seconds / beat * 2);
        for (int e = 0; e < eighths; e++)
        {
            double time = (e * beat / 2) + (0.006 * Gaussian(random));
            if (random.NextDouble() < (e % 2 == 0 ? 0.85 : 0.45))
            {
                int voices = e % 8 == 0 ? 3 : 1;
                for (int v = 0; v < voices; v++)
                {
                    double hertz = root * Math.Pow(2, scale[random.Next(scale.Length)] / 12.0);
                    AddNote(sound, rate, time, hertz, 0.15 + (0.7 * random.NextDouble()), 0.06 + (0.1 * random.NextDouble()), random);
                }
            }

            if (drums && e % 2 == 0)
            {
                AddDrum(sound, rate, time, e % 4 == 0 ? 70 : 190, 0.15 + (0.1 * random.NextDouble()), random);
            }
        }

        return Limit(sound);
    }

    /// <summary>One bar repeated sample by sample, as from a machine: no offset can be told from the next bar's.</summary>
    public static float[] Loop(int rate, double seconds, int seed)
    {
        float[] bar = Music(rate, 2.0, seed);
        float[] sound = new float[(int)(seconds * rate)];
        for (int k = 0; k < sound.Length; k++)
        {
            sound[k] = bar[k % bar.Length];
        }

        return sound;
    }

    /// <summary>Steady pink-like noise: water, wind, traffic.</summary>
    public static float[] Rushing(int rate, double seconds, int seed)
    {
        Random random = new(seed);
        float[] sound = new float[(int)(seconds * rate)];
        double slow = 0, middle = 0;
        for (int k = 0; k < sound.Length; k++)
        {
            double white = Gaussian(random);
            slow = (0.995 * slow) + (0.1 * white);
            middle = (0.9 * middle) + (0.3 * white);
            sound[k] = (float)(0.05 * (slow + middle + (0.3 * white)));
        }

        return sound;
    }

    /// <summary>Mains hum with overtones; the frequency wanders by some hundredths of a hertz.</summary>
    public static float[] Hum(int rate, double seconds, int seed)
    {
        Random random = new(seed);
        float[] sound = new float[(int)(seconds * rate)];
        double phase = random.NextDouble(), wander = 0;
        for (int k = 0; k < sound.Length; k++)
        {
            wander = (0.99999 * wander) + (0.00003 * Gaussian(random));
            phase += (50 + wander) / rate;
            double p = 2 * Math.PI * phase;
            sound[k] = (float)(0.05 * (Math.Sin(p) + (0.6 * Math.Sin(2 * p)) + (0.4 * Math.Sin(3 * p)) + (0.3 * Math.Sin(6 * p)) + (0.2 * Math.Sin(12 * p))));
        }

        return sound;
    }

    /// <summary>One normally distributed number (Box and Muller 1958).</summary>
    public static double Gaussian(Random random) =>
        Math.Sqrt(-2 * Math.Log(1 - random.NextDouble())) * Math.Cos(2 * Math.PI * random.NextDouble());

    /// <summary>The sum of two sounds, as long as the first.</summary>
    public static float[] Mix(float[] first, float[] second, double gain)
    {
        float[] sum = [.. first];
        for (int k = 0; k < Math.Min(first.Length, second.Length); k++)
        {
            sum[k] += (float)(gain * second[k]);
        }

        return sum;
    }

    private static void AddNote(float[] sound, int rate, double time, double hertz, double length, double loud, Random random)
    {
        int start = (int)(Math.Max(0, time) * rate);
        double phase = random.NextDouble();
        double bright = 0.35 + (0.3 * random.NextDouble());
        for (int k = 0; k < 1.5 * length * rate && start + k < sound.Length; k++)
        {
            double t = (double)k / rate;
            double envelope = Math.Min(1, t / 0.005) * Math.Exp(-t / (0.4 * length));
            double value = 0, weight = 1;
            for (int h = 1; h <= 6 && h * hertz < 0.45 * rate; h++, weight *= bright)
            {
                value += weight * Math.Sin(2 * Math.PI * h * ((hertz * t) + phase));
            }

            sound[start + k] += (float)(loud * envelope * value);
        }
    }

    private static void AddDrum(float[] sound, int rate, double time, double hertz, double loud, Random random)
    {
        int start = (int)(Math.Max(0, time) * rate);
        for (int k = 0; k < 0.2 * rate && start + k < sound.Length; k++)
        {
            double t = (double)k / rate;
            sound[start + k] += (float)(loud * ((Math.Sin(2 * Math.PI * hertz * t) * Math.Exp(-t / 0.05)) + (0.4 * Gaussian(random) * Math.Exp(-t / 0.02))));
        }
    }

    private static float[] Limit(float[] sound)
    {
        for (int k = 0; k < sound.Length; k++)
        {
            sound[k] = MathF.Tanh(sound[k]);
        }

        return sound;
    }

    // Two-pole resonator, unit gain at its peak or near it.
    private sealed class Resonance(double hertz, double width, int rate)
    {
        private readonly double _r = Math.Exp(-Math.PI * width / rate);
        private readonly double _c = 2 * Math.Exp(-Math.PI * width / rate) * Math.Cos(2 * Math.PI * hertz / rate);
        private double _y1;
        private double _y2;

        public double Next(double x)
        {
            double y = ((1 - _r) * 8 * x) + (_c * _y1) - (_r * _r * _y2);
            (_y2, _y1) = (_y1, y);
            return y;
        }
    }
}
