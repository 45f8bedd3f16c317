namespace Tonematch.Sync.Sound;

/// <summary>A clear moment in both sounds (a clap, a knock), which shows that they are aligned correctly.</summary>
/// <param name="Primary">The primary's sound around it.</param>
/// <param name="Secondary">The secondary's sound around it, moved to the primary's time line by the offset found.</param>
/// <param name="MomentSeconds">The moment, on the primary's time line.</param>
public sealed record ClearMoment(MonoSound Primary, MonoSound Secondary, double MomentSeconds)
{
    // Loudness in steps of 4 ms, compared with the 80 ms before.
    private const double StepSeconds = 0.004;
    private const int Before = 20;

    /// <summary>
    /// Finds the moment at which loudness jumps most in both recordings, with 0.3 s of both sounds around it, the
    /// secondary's on the primary's time line; null if the sounds do not overlap by at least a second.
    /// </summary>
    /// <param name="primary">The primary's sound.</param>
    /// <param name="secondary">The secondary's sound, on its own time line.</param>
    /// <param name="sync">The alignment of the clips.</param>
    public static ClearMoment? Find(MonoSound primary, MonoSound secondary, SyncFound sync)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(sync);
        double from = Math.Max(primary.StartSeconds, sync.PrimaryTime(secondary.StartSeconds)) + 0.2;
        double to = Math.Min(primary.StartSeconds + primary.DurationSeconds, sync.PrimaryTime(secondary.StartSeconds + secondary.DurationSeconds)) - 0.2;
        int steps = (int)((to - from) / StepSeconds);
        if (steps < 1 / StepSeconds)
        {
            return null;
        }

        double[] a = Loudness(primary, from, steps, t => t), b = Loudness(secondary, from, steps, sync.SecondaryTime);
        int best = Before;
        double most = -1;
        for (int i = Before; i < steps - 1; i++)
        {
            double jump = Math.Min(Jump(a, i), Jump(b, i));
            if (jump > most)
            {
                (best, most) = (i, jump);
            }
        }

        double moment = from + (best * StepSeconds);
        return new ClearMoment(Part(primary, moment, 0), Part(secondary, sync.SecondaryTime(moment), moment - sync.SecondaryTime(moment)), moment);
    }

    private static double[] Loudness(MonoSound sound, double from, int steps, Func<double, double> time)
    {
        double[] loudness = new double[steps];
        int length = Math.Max(1, (int)(StepSeconds * sound.SampleRate));

        // One second at a time; each step includes the sample before it.
        const int AtOnce = 250;
        float[] samples = new float[(AtOnce + 2) * (length + 1)];
        for (int done = 0; done < steps; done += AtOnce)
        {
            long start = FirstOf(done) - 1;
            sound.Read(start, samples);
            for (int k = done; k < Math.Min(steps, done + AtOnce); k++)
            {
                long first = FirstOf(k);
                int begin = (int)(Math.Max(1, first) - start), end = (int)(Math.Min(first + length, sound.Length) - start);
                double sum = 0;
                for (int i = begin; i < end; i++)
                {
                    // Differences of neighbouring samples suppress rumble and keep clicks.
                    float difference = samples[i] - samples[i - 1];
                    sum += difference * difference;
                }

                loudness[k] = Math.Sqrt(sum / length);
            }
        }

        return loudness;

        long FirstOf(int step) => (long)((time(from + (step * StepSeconds)) - sound.StartSeconds) * sound.SampleRate);
    }

    // The rise of the level above the loudest of the 80 ms before, times the level: high for a clap, low for a voice
    // that swells or a faint tick out of silence.
    private static double Jump(double[] loudness, int at)
    {
        double before = 0;
        for (int i = at - Before; i < at; i++)
        {
            before = Math.Max(before, loudness[i]);
        }

        double peak = Math.Max(loudness[at], loudness[at + 1]);
        return peak * Math.Max(0, Math.Log2((peak + 1e-6) / (before + 1e-6)));
    }

    private static MonoSound Part(MonoSound sound, double centre, double shift)
    {
        int first = Math.Clamp((int)((centre - 0.10 - sound.StartSeconds) * sound.SampleRate), 0, sound.Length);
        float[] part = new float[Math.Clamp((int)(0.3 * sound.SampleRate), 0, sound.Length - first)];
        sound.Read(first, part);
        return new MonoSound(part, sound.SampleRate, sound.StartSeconds + ((double)first / sound.SampleRate) + shift);
    }
}
