using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;
using Tonematch.Sync.Sound;

namespace Tonematch.Media.Sound;

/// <summary>Reads the sound of a clip as one channel of float samples.</summary>
public static class SoundReader
{
    /// <summary>Reads a section of one sound track, mixed down to mono and resampled.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="sampleRate">Requested samples per second, 1000..384000.</param>
    /// <param name="track">Index of the sound track (<see cref="AudioTrack.Index"/>); null for the first one that can be decoded.</param>
    /// <param name="fromSeconds">Start on the clip's time line (0 = first frame). May be negative.</param>
    /// <param name="durationSeconds">Duration to read, above 0; null reads to the end.</param>
    /// <param name="cancel">Cancels the work and the process.</param>
    /// <returns>The sound; it starts at <paramref name="fromSeconds"/>, to within one sample of the track. If the track begins later than the pictures, or has a gap, there is silence, so that the index of a sample always gives its time.</returns>
    /// <exception cref="UnusableInputException">The clip has no sound, or it cannot be decoded.</exception>
    public static async Task<MonoSound> ReadMonoAsync(
        ClipInfo clip, int sampleRate, int? track = null, double fromSeconds = 0, double? durationSeconds = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentOutOfRangeException.ThrowIfLessThan(sampleRate, 1000);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(sampleRate, 384000);
        if (!double.IsFinite(fromSeconds))
        {
            throw new ArgumentOutOfRangeException(nameof(fromSeconds), fromSeconds, "The start must be a finite number of seconds.");
        }

        if (durationSeconds is { } d && !(d > 0 && double.IsFinite(d)))
        {
            throw new ArgumentOutOfRangeException(nameof(durationSeconds), d, "The duration must be above 0.");
        }

        if (clip.AudioTracks.IsEmpty)
        {
            throw new UnusableInputException($"'{clip.Path}' has no sound. Give the offset by hand, or use a recording with sound.");
        }

        int number = track ?? clip.AudioTracks.FirstOrDefault(t => t.IsReadable)?.Index ?? 0;
        if (number < 0 || number >= clip.AudioTracks.Length)
        {
            throw new UnusableInputException(string.Create(
                CultureInfo.InvariantCulture,
                $"'{clip.Path}' has {clip.AudioTracks.Length} sound track(s), numbered from 0; there is no track {number}."));
        }

        // Sample k of the result is at container time first / own rate + k / rate, whatever the packets' time stamps:
        // the resampler is given the time of its first sample and pads or cuts to reach it. It counts that time in
        // samples of its input (libswresample's first_pts), not of its output. The container's rate may differ from the
        // decoder's (unannounced spectral band replication, a track that changes its rate), so a first step converts to
        // the rate used for counting.
        double absolute = fromSeconds + clip.ContainerStartSeconds;
        int ownRate = clip.AudioTracks[number].SampleRate is > 0 and int own ? own : sampleRate;
        long first = (long)Math.Round(absolute * ownRate);
        long? wanted = durationSeconds is { } seconds ? Math.Max(1, (long)Math.Round(seconds * sampleRate)) : null;
        double seek = absolute - clip.FileStartSeconds - 0.1;
        string resample = string.Create(
            CultureInfo.InvariantCulture,
            $"aresample={ownRate},aresample={sampleRate}:async=1:min_comp=0.000005:min_hard_comp=0.02:first_pts={first},aformat=sample_fmts=flt:channel_layouts=mono");
        string[] arguments =
        [
            "-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+error",
            .. clip.Input.OpenWith(
            [
                "-copyts", "-vn", "-sn", "-dn",

                // A track that changes partway would restart the filters and their clock, so that is an error.
                "-reinit_filter", "0",
                .. seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
            ]),
            "-map", string.Create(CultureInfo.InvariantCulture, $"0:a:{number}"), "-af", resample,
            "-f", BitConverter.IsLittleEndian ? "f32le" : "f32be", "pipe:1",
        ];
        await using FfmpegProcess ffmpeg = FfmpegProcess.Start(FfmpegTools.Ffmpeg, arguments, cancel: cancel);
        MonoSound sound = await MonoSound.GatherAsync(PiecesAsync(ffmpeg, wanted), sampleRate, ((double)first / ownRate) - clip.ContainerStartSeconds).ConfigureAwait(false);
        if (sound.Length != wanted && await ffmpeg.WaitAsync().ConfigureAwait(false) != 0)
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The sound", ffmpeg.ErrorText));
        }

        return sound;
    }

    /// <summary>Finds the loudest sound track, measured in short sections over the whole clip.</summary>
    /// <returns>The track's index; null if the clip has no sound. A section that cannot be decoded counts as silent; if that track is chosen, reading it reports why.</returns>
    public static async Task<int?> ChooseTrackAsync(ClipInfo clip, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        AudioTrack[] readable = [.. clip.AudioTracks.Where(t => t.IsReadable)];
        if (readable.Length < 2)
        {
            return readable.Length == 0 ? null : readable[0].Index;
        }

        const int stretches = 4, rate = 8000;
        const double stretchSeconds = 8;
        (int Track, double Power) best = (readable[0].Index, -1);
        foreach (AudioTrack track in readable)
        {
            double power = 0;
            double room = Math.Max(0, clip.DurationSeconds - stretchSeconds);
            int count = room > 0 ? stretches : 1;
            for (int i = 0; i < count; i++)
            {
                power += await PowerAsync(clip, track.Index, rate, count == 1 ? 0 : room * i / (count - 1), stretchSeconds, cancel).ConfigureAwait(false);
            }

            best = power > best.Power ? (track.Index, power) : best;
        }

        return best.Track;
    }

    private static async Task<double> PowerAsync(ClipInfo clip, int track, int rate, double from, double seconds, CancellationToken cancel)
    {
        try
        {
            return (await ReadMonoAsync(clip, rate, track, from, seconds, cancel).ConfigureAwait(false)).ToArray().Sum(s => (double)s * s);
        }
        catch (UnusableInputException)
        {
            return 0;
        }
    }

    private static async IAsyncEnumerable<ReadOnlyMemory<float>> PiecesAsync(FfmpegProcess ffmpeg, long? wanted)
    {
        byte[] bytes = new byte[1 << 18];
        float[] piece = new float[bytes.Length / sizeof(float)];
        for (long count = 0; wanted is null || count < wanted;)
        {
            int n = (int)Math.Min(await ffmpeg.FillAsync(bytes).ConfigureAwait(false) / sizeof(float), (wanted ?? long.MaxValue) - count);
            if (n == 0)
            {
                break;
            }

            Buffer.BlockCopy(bytes, 0, piece, 0, n * sizeof(float));
            count += n;
            yield return piece.AsMemory(0, n);
        }
    }
}
