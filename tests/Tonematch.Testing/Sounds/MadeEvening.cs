using Tonematch.Shoot;
using Tonematch.Sync.Sound;

namespace Tonematch.Testing.Sounds;

/// <summary>
/// The sound of an evening with several cameras in one room, made from a seed: talk, music and claps from one place,
/// each camera with its own microphone, clock, clips and gaps.
/// </summary>
/// <param name="Clips">All clips; the first camera is 'A'.</param>
/// <param name="Sounds">As many sounds.</param>
/// <param name="Starts">
/// For each clip, when its time 0 is on the first clip's time line, as the sound says it: what the sound needs to each
/// microphone is in it.
/// </param>
/// <param name="RatesPpm">For each clip, by how much its clock counts more than A's.</param>
public sealed record MadeEvening(IReadOnlyList<ShootClip> Clips, IReadOnlyList<MonoSound> Sounds, double[] Starts, double[] RatesPpm)
{
    private const int Rate = 16000;

    /// <summary>A clip to be recorded: which camera, from when to when, in seconds of the evening.</summary>
    public readonly record struct Take(string Camera, double From, double To);

    /// <summary>A random evening: 2 to 4 cameras, 1 to 2.5 minutes, 1 to 3 clips each, one of them often split in two.</summary>
    public static MadeEvening Random(int seed)
    {
        Random random = new(seed);
        double length = 60 + (90 * random.NextDouble());
        int cameras = random.Next(2, 5);
        List<Take> takes = [];
        for (int c = 0; c < cameras; c++)
        {
            string camera = ((char)('A' + c)).ToString();
            double at = (c == 0 ? 5 : 25) * random.NextDouble();
            int count = random.Next(1, 4);
            for (int k = 0; k < count && at < length - 15; k++)
            {
                double end = Math.Min(length - 1, at + 15 + ((length - 20) / count * (0.5 + (0.7 * random.NextDouble()))));
                if (random.NextDouble() < 0.25 && end - at > 40)
                {
                    double cut = at + ((end - at) * (0.3 + (0.4 * random.NextDouble())));
                    takes.AddRange([new(camera, at, cut), new(camera, cut, end)]);
                }
                else
                {
                    takes.Add(new(camera, at, end));
                }

                at = end + 0.5 + (12 * random.NextDouble());
            }
        }

        return Of(length, takes, seed);
    }

    /// <summary>An evening with given takes; the first take's camera is the one whose clock counts.</summary>
    /// <param name="seconds">Length of the evening.</param>
    /// <param name="takes">What is recorded; takes of one camera that touch are one recording that was split.</param>
    /// <param name="seed">Sounds, room, microphones, clocks.</param>
    public static MadeEvening Of(double seconds, IReadOnlyList<Take> takes, int seed)
    {
        Random random = new(seed + 7);
        float[] source = Source(seconds + 4, random, seed);
        MadeRoom room = new(5 + (7 * random.NextDouble()), 6 + (10 * random.NextDouble()), 2.6 + (2 * random.NextDouble()), 0.3 + (0.45 * random.NextDouble()));
        (double X, double Y, double Z) Place() => (room.Width * (0.1 + (0.8 * random.NextDouble())), room.Length * (0.1 + (0.8 * random.NextDouble())), room.Height * (0.3 + (0.4 * random.NextDouble())));
        (double X, double Y, double Z) from = Place();
        Dictionary<string, (float[] Sound, double Travel, double Ppm, int Rate)> cameras = [];
        List<ShootClip> clips = [];
        List<MonoSound> sounds = [];
        List<double> starts = [], rates = [];
        foreach (Take take in takes)
        {
            if (!cameras.TryGetValue(take.Camera, out var camera))
            {
                (double X, double Y, double Z) mic = Place();
                double metres = Math.Sqrt(((mic.X - from.X) * (mic.X - from.X)) + ((mic.Y - from.Y) * (mic.Y - from.Y)) + ((mic.Z - from.Z) * (mic.Z - from.Z)));
                float[] heard = MadeRecording.Convolve(source, room.Response(Rate, from, mic, 0.3));
                heard = MadeRecording.Coloured(heard, Rate, 40 + (160 * random.NextDouble()), 3000 + (4000 * random.NextDouble()));
                heard = MadeRecording.WithNoise(heard, 10 + (20 * random.NextDouble()), seed + cameras.Count + 3);
                heard = random.Next(2) == 0 ? MadeRecording.WithAutomaticLevel(heard, Rate) : heard;
                camera = (heard, metres / SoundTravel.MetresPerSecond, cameras.Count == 0 ? 0 : 45 * ((2 * random.NextDouble()) - 1), random.Next(2) == 0 ? 16000 : 48000);
                cameras[take.Camera] = camera;
            }

            double counted = (take.To - take.From) * (1 + (camera.Ppm * 1e-6));
            int number = clips.Count(c => c.Camera == take.Camera) + 1;
            clips.Add(new ShootClip(take.Camera, $"{take.Camera}{number}", counted));
            sounds.Add(new MonoSound(MadeRecording.Record(camera.Sound, Rate, take.From, counted, camera.Rate, camera.Ppm), camera.Rate, 0));
            starts.Add(take.From - camera.Travel);
            rates.Add(camera.Ppm);
        }

        // Time 0 is the first camera's first clip's.
        return new MadeEvening(clips, sounds, [.. starts.Select(s => s - starts[0])], [.. rates]);
    }

    private static float[] Source(double seconds, Random random, int seed)
    {
        float[] source = new float[(int)(seconds * Rate)];
        for (int at = 0, k = 0; at < source.Length; k++)
        {
            double length = 15 + (30 * random.NextDouble());
            float[] part = random.Next(4) switch
            {
                0 => MadeSound.Music(Rate, length, seed + (100 * k)),
                1 => MadeSound.Mix(MadeSound.RandomClaps(Rate, length, 3, seed + (100 * k)), MadeSound.Rushing(Rate, length, seed + (100 * k) + 1), 0.1),
                2 => MadeSound.Mix(MadeSound.Speech(Rate, length, seed + (100 * k)), MadeSound.Music(Rate, length, seed + (100 * k) + 1), 0.4),
                _ => MadeSound.Speech(Rate, length, seed + (100 * k)),
            };
            int count = Math.Min(part.Length, source.Length - at);
            part.AsSpan(0, count).CopyTo(source.AsSpan(at));
            at += count;
        }

        return source;
    }
}
