using System.Buffers.Binary;
using Tonematch.Media.Clips;
using Tonematch.Media.Sound;
using Tonematch.Sync.Sound;
using Tonematch.Workbench.Api;

namespace Tonematch.Workbench.Sound;

/// <summary>Both cameras' sound around one instant, to be seen one above the other and heard left and right.</summary>
internal static class SoundDesk
{
    private const int SeenRate = 8000, HeardRate = 48000, Bins = 800;

    /// <summary>Both sounds around an instant of camera A; silence where a clip has none.</summary>
    /// <param name="primary">Camera A's clip.</param>
    /// <param name="secondary">Camera B's clip.</param>
    /// <param name="at">The instant on camera A's time line, seconds.</param>
    /// <param name="span">The duration, seconds, up to 60.</param>
    /// <param name="secondaryAt">The same instant in camera B's clip.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<SoundMessage> SeenAsync(ClipInfo primary, ClipInfo secondary, double at, double span, double secondaryAt, CancellationToken cancel)
    {
        float[][] both = await BothAsync(primary, secondary, at, span, secondaryAt, SeenRate, cancel);
        return new SoundMessage(at - (span / 2), span, Peaks(both[0]), Peaks(both[1]));
    }

    /// <summary>The same as a WAV file: camera A left, camera B right.</summary>
    public static async Task<byte[]> HeardAsync(ClipInfo primary, ClipInfo secondary, double at, double span, double secondaryAt, CancellationToken cancel)
    {
        float[][] both = await BothAsync(primary, secondary, at, span, secondaryAt, HeardRate, cancel);
        int samples = Math.Max(both[0].Length, both[1].Length), bytes = samples * 4;
        byte[] wav = new byte[44 + bytes];
        Span<byte> head = wav;

        // The canonical header of RIFF WAVE: 16-bit PCM, two channels.
        "RIFF"u8.CopyTo(head);
        BinaryPrimitives.WriteInt32LittleEndian(head[4..], 36 + bytes);
        "WAVEfmt "u8.CopyTo(head[8..]);
        BinaryPrimitives.WriteInt32LittleEndian(head[16..], 16);
        BinaryPrimitives.WriteInt16LittleEndian(head[20..], 1);
        BinaryPrimitives.WriteInt16LittleEndian(head[22..], 2);
        BinaryPrimitives.WriteInt32LittleEndian(head[24..], HeardRate);
        BinaryPrimitives.WriteInt32LittleEndian(head[28..], HeardRate * 4);
        BinaryPrimitives.WriteInt16LittleEndian(head[32..], 4);
        BinaryPrimitives.WriteInt16LittleEndian(head[34..], 16);
        "data"u8.CopyTo(head[36..]);
        BinaryPrimitives.WriteInt32LittleEndian(head[40..], bytes);

        // Both at equal loudness, so that a distant phone can be heard beside a close camera.
        float[] gains = [.. both.Select(s => s.Length == 0 || s.Max(MathF.Abs) is 0 ? 0 : 0.8f / s.Max(MathF.Abs))];
        for (int i = 0; i < samples; i++)
        {
            for (int c = 0; c < 2; c++)
            {
                float v = i < both[c].Length ? both[c][i] * gains[c] : 0;
                BinaryPrimitives.WriteInt16LittleEndian(head[(44 + (4 * i) + (2 * c))..], (short)Math.Clamp(MathF.Round(v * short.MaxValue), short.MinValue, short.MaxValue));
            }
        }

        return wav;
    }

    private static async Task<float[][]> BothAsync(
        ClipInfo primary, ClipInfo secondary, double at, double span, double secondaryAt, int rate, CancellationToken cancel) =>
        await Task.WhenAll(ReadAsync(primary, at, span, rate, cancel), ReadAsync(secondary, secondaryAt, span, rate, cancel));

    private static async Task<float[]> ReadAsync(ClipInfo clip, double at, double span, int rate, CancellationToken cancel)
    {
        if (await SoundReader.ChooseTrackAsync(clip, cancel) is not { } track)
        {
            return [];
        }

        // There is silence before a clip begins, so nothing needs to be read.
        double from = at - (span / 2), early = Math.Clamp(-from, 0, span);
        float[] sound = new float[(int)Math.Round(span * rate)];
        double rest = Math.Min(span - early, clip.DurationSeconds - Math.Max(0, from));
        if (rest > 0.001)
        {
            MonoSound read = await SoundReader.ReadMonoAsync(clip, rate, track, Math.Max(0, from), rest, cancel);
            float[] samples = read.ToArray();
            int begin = (int)Math.Round(early * rate), count = Math.Clamp(samples.Length, 0, sound.Length - begin);
            samples.AsSpan(0, count).CopyTo(sound.AsSpan(begin));
        }

        return sound;
    }

    // Minimum and maximum of each bin, scaled to full height.
    private static float[] Peaks(float[] sound)
    {
        float[] peaks = new float[2 * Bins];
        float top = sound.Length == 0 ? 0 : sound.Max(MathF.Abs);
        for (int bin = 0; bin < Bins && top > 0; bin++)
        {
            int first = (int)((long)bin * sound.Length / Bins), last = Math.Max(first + 1, (int)((long)(bin + 1) * sound.Length / Bins));
            (float least, float greatest) = (0, 0);
            foreach (float v in sound.AsSpan(first, Math.Min(last, sound.Length) - first))
            {
                (least, greatest) = (Math.Min(least, v), Math.Max(greatest, v));
            }

            (peaks[2 * bin], peaks[(2 * bin) + 1]) = (MathF.Round(least / top, 3), MathF.Round(greatest / top, 3));
        }

        return peaks;
    }
}
