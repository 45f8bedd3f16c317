namespace Tonematch.Demo;

/// <summary>
/// The sounds of the studio, made from noise and oscillators: the wheel's motor and rumble, speech-like murmur (voiced
/// pulses through three moving resonances), claps, and small knocks of clay and glass. Each microphone hears them with
/// a delay by distance, at its own level, with its own reverberation and hiss.
/// </summary>
internal static class DemoSound
{
    /// <summary>Samples per second.</summary>
    public const int Rate = 48000;

    /// <summary>Speed of sound in air at 20 degrees Celsius, metres per second.</summary>
    public const double MetresPerSecond = 343;

    private static readonly Lazy<float[]> s_room = new(Studio);

    /// <summary>The camera's microphone recording, from its start to its end; -1..1.</summary>
    public static float[] Record(DemoCamera camera)
    {
        float[] source = s_room.Value;
        float[] heard = new float[source.Length];
        double delay = camera.DistanceMetres / MetresPerSecond * Rate;
        for (int i = 0; i < heard.Length; i++)
        {
            double at = i - delay;
            int whole = (int)Math.Floor(at);
            if (whole >= 0 && whole + 1 < source.Length)
            {
                float f = (float)(at - whole);
                heard[i] = source[whole] + ((source[whole + 1] - source[whole]) * f);
            }
        }

        float[] ringing = Ring(heard, camera.Room.Seconds, camera.Seed);
        int start = (int)Math.Round(camera.StartSeconds * Rate);
        float[] recorded = new float[Math.Min(source.Length - start, (int)Math.Round((camera.EndSeconds - camera.StartSeconds) * Rate))];
        Random random = new(camera.Seed);
        for (int i = 0; i < recorded.Length; i++)
        {
            double x = (heard[start + i] + (camera.Room.Level * ringing[start + i])) * camera.Microphone.Gain;
            x += camera.Microphone.Hiss * ((2 * random.NextDouble()) - 1);
            recorded[i] = (float)Math.Tanh(x);
        }

        return recorded;
    }

    /// <summary>Writes mono 16-bit PCM WAV.</summary>
    public static void WriteWav(string path, ReadOnlySpan<float> samples)
    {
        using BinaryWriter writer = new(File.Create(path));
        int bytes = samples.Length * 2;
        writer.Write("RIFF"u8);
        writer.Write(36 + bytes);
        writer.Write("WAVEfmt "u8);
        writer.Write(16);
        writer.Write((short)1);
        writer.Write((short)1);
        writer.Write(Rate);
        writer.Write(Rate * 2);
        writer.Write((short)2);
        writer.Write((short)16);
        writer.Write("data"u8);
        writer.Write(bytes);
        foreach (float s in samples)
        {
            writer.Write((short)Math.Clamp(Math.Round(s * 32767.0), -32768, 32767));
        }
    }

    private static float[] Studio()
    {
        float[] sound = new float[(int)(DemoScene.Seconds * Rate)];
        Random random = new(5);
        AddWheel(sound, random);
        AddMurmur(sound, random);
        foreach (double at in DemoScene.Claps)
        {
            AddKnock(sound, random, at, 0.85, 0.011, 1500, 0.9);
            AddKnock(sound, random, at + 0.0007, 0.5, 0.004, 3800, 0.8);
        }

        foreach ((double at, double loud, double pitch) in new[] { (1.15, 0.10, 700.0), (5.55, 0.16, 480.0), (7.95, 0.12, 2600.0), (8.5, 0.10, 3100.0), (10.6, 0.08, 2700.0), (11.4, 0.20, 1900.0), (13.3, 0.11, 2500.0) })
        {
            AddKnock(sound, random, at, loud, 0.020, pitch, 0.985);
        }

        return sound;
    }

    private static void AddWheel(float[] sound, Random random)
    {
        double low = 0, lower = 0, phase = 0;
        for (int i = 0; i < sound.Length; i++)
        {
            double t = (double)i / Rate, fast = Math.Clamp((t - 7.6) / 1.5, 0, 1);
            phase += 2 * Math.PI * (46 + (38 * fast)) / Rate;
            low += 0.045 * ((2 * random.NextDouble()) - 1 - low);
            lower += 0.02 * (low - lower);
            double hum = (0.010 * Math.Sin(phase)) + (0.006 * Math.Sin(2 * phase)) + (0.003 * Math.Sin(5 * phase));
            double scrape = 1 + (0.5 * Math.Sin(2 * Math.PI * (0.07 + (0.35 * fast)) * t * 3));
            sound[i] += (float)((0.35 + (0.65 * fast)) * (hum + (0.45 * lower * scrape)));
        }
    }

    private static void AddMurmur(float[] sound, Random random)
    {
        // Vowel-like resonances in Hz: common textbook values for open, front, back and neutral vowels.
        double[][] vowels = [[730, 1090, 2440], [270, 2290, 3010], [300, 870, 2240], [530, 1840, 2480], [500, 1500, 2500]];
        double t = 0.5;
        while (t < DemoScene.Seconds - 0.6)
        {
            // A phrase of several syllables, then a pause; silent around the claps, as people are.
            int syllables = random.Next(3, 8);
            for (int k = 0; k < syllables && t < DemoScene.Seconds - 0.6; k++)
            {
                double length = 0.11 + (0.12 * random.NextDouble());
                if (DemoScene.Claps.All(c => t + length < c - 0.25 || t > c + 0.18))
                {
                    AddSyllable(sound, random, t, length, vowels[random.Next(vowels.Length)], 165 + (40 * random.NextDouble()) - (3 * k));
                }

                t += length + (0.03 * random.NextDouble());
            }

            t += 0.25 + (0.5 * random.NextDouble());
        }
    }

    private static void AddSyllable(float[] sound, Random random, double at, double length, double[] resonances, double pitch)
    {
        int start = (int)(at * Rate), count = (int)(length * Rate);
        double[] y1 = new double[3], y2 = new double[3];
        double phase = 0;
        for (int i = 0; i < count && start + i < sound.Length; i++)
        {
            double share = (double)i / count, envelope = Math.Sin(Math.PI * Math.Pow(share, 0.7));
            phase += (pitch * (1.04 - (0.10 * share)) / Rate) + (0.0002 * (random.NextDouble() - 0.5));
            double pulse = phase >= 1 ? 1 : 0;
            phase -= Math.Floor(phase);
            double input = pulse + (0.04 * ((2 * random.NextDouble()) - 1)), sum = 0;
            for (int f = 0; f < 3; f++)
            {
                double r = Math.Exp(-Math.PI * (70 + (40 * f)) / Rate);
                double y = input + (2 * r * Math.Cos(2 * Math.PI * resonances[f] / Rate) * y1[f]) - (r * r * y2[f]);
                (y2[f], y1[f]) = (y1[f], y);
                sum += y / (1 + (2.0 * f));
            }

            sound[start + i] += (float)(0.012 * envelope * sum);
        }
    }

    private static void AddKnock(float[] sound, Random random, double at, double loud, double decaySeconds, double pitch, double ringing)
    {
        int start = (int)Math.Round(at * Rate), count = (int)(decaySeconds * 9 * Rate);
        double y1 = 0, y2 = 0, c = 2 * ringing * Math.Cos(2 * Math.PI * pitch / Rate);
        for (int i = 0; i < count && start + i < sound.Length; i++)
        {
            double excite = ((2 * random.NextDouble()) - 1) * Math.Exp(-i / (decaySeconds * Rate)) * Math.Min(1, i / 12.0);
            double y = excite + (c * y1) - (ringing * ringing * y2);
            (y2, y1) = (y1, y);
            sound[start + i] += (float)(loud * y * (1 - (ringing * 0.75)));
        }
    }

    /// <summary>Four combs and two all-passes (M. R. Schroeder, J. Audio Eng. Soc. 10, 1962): a plain room.</summary>
    private static float[] Ring(float[] dry, double seconds, int seed)
    {
        float[] wet = new float[dry.Length];
        foreach (int milliseconds in new[] { 297, 371, 411, 437 })
        {
            int delay = (milliseconds + (seed % 17)) * Rate / 10000;
            float keep = (float)Math.Pow(10, -3.0 * delay / Rate / seconds), dull = 0;
            float[] line = new float[delay];
            for (int i = 0; i < dry.Length; i++)
            {
                ref float slot = ref line[i % delay];
                float out_ = slot;
                dull += 0.55f * (out_ - dull);
                slot = dry[i] + (keep * dull);
                wet[i] += 0.25f * out_;
            }
        }

        foreach (int delay in new[] { 240 + seed, 83 + seed })
        {
            float[] line = new float[delay];
            for (int i = 0; i < wet.Length; i++)
            {
                ref float slot = ref line[i % delay];
                float old = slot;
                slot = wet[i] + (0.7f * old);
                wet[i] = old - (0.7f * slot);
            }
        }

        return wet;
    }
}
