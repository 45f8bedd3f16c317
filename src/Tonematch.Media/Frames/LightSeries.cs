using System.Globalization;
using System.Text.RegularExpressions;
using System.Threading.Channels;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;
using Tonematch.Sync;

namespace Tonematch.Media.Frames;

/// <summary>Reads how light and motion of a clip's pictures run, from luma alone and at the least cost of decoding.</summary>
/// <remarks>
/// FFmpeg leaves out the loop filter, scales luma only and passes on 8 bits: a mean and a difference of small pictures
/// need no more. Not for measuring colour.
/// </remarks>
public static partial class LightSeries
{
    private const int LongerSide = 160;

    /// <summary>Reads a stretch.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="fromSeconds">First instant on the clip's time line, seconds.</param>
    /// <param name="durationSeconds">How much, seconds, above 0.</param>
    /// <param name="referenceFramesOnly">Leave out frames that no other is predicted from: half of them or more in clips
    /// with bidirectional prediction, none in others.</param>
    /// <param name="cancel">Ends the work and the process.</param>
    /// <returns>A sample a frame, times rising: mean luma 0..1, and mean absolute difference of luma from the frame before
    /// with the difference of the means taken out.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public static async Task<IReadOnlyList<LightSample>> ReadAsync(
        ClipInfo clip, double fromSeconds, double durationSeconds, bool referenceFramesOnly = false, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(durationSeconds);
        double from = fromSeconds + clip.ContainerStartSeconds, seek = from - clip.FileStartSeconds - (clip.SeeksExactly ? 0.5 : 3);
        (int width, int height) = FrameReader.Scaled(clip, LongerSide) ?? (clip.StoredWidth, clip.StoredHeight);
        string[] arguments =
        [
            "-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info",
            .. clip.Input.OpenWith(
            [
                "-noautorotate", "-copyts", "-skip_loop_filter", "all",
                .. referenceFramesOnly ? ["-skip_frame", "noref"] : (string[])[],
                .. fromSeconds > 0 && seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
            ]),
            "-map", string.Create(CultureInfo.InvariantCulture, $"0:{clip.StreamIndex}"), "-an", "-sn", "-dn",
            "-vf", string.Create(
                CultureInfo.InvariantCulture,
                $"select='gte(t,{from - 5e-7:0.#########})',scale={width}:{height}:flags=area,format=gray,showinfo=checksum=0"),
            .. FfmpegTools.PassEveryFrame, "-f", "rawvideo", "pipe:1",
        ];
        Channel<double> times = Channel.CreateUnbounded<double>(new UnboundedChannelOptions { SingleReader = true, SingleWriter = true });
        await using FfmpegProcess ffmpeg = FfmpegProcess.Start(
            FfmpegTools.Ffmpeg, arguments, Listener(clip, times.Writer), onEnd: () => times.Writer.TryComplete(), cancel: cancel);
        List<LightSample> series = [];
        byte[] now = new byte[width * height], before = new byte[now.Length];
        while (await ffmpeg.FillAsync(now).ConfigureAwait(false) == now.Length)
        {
            if (!await times.Reader.WaitToReadAsync(cancel).ConfigureAwait(false) || !times.Reader.TryRead(out double seconds))
            {
                break;
            }

            if (seconds >= fromSeconds + durationSeconds)
            {
                return series;
            }

            // Broken streams repeat times; of two frames at one time the first counts.
            if (series.Count == 0 || seconds > series[^1].Seconds)
            {
                series.Add(Measure(now, series.Count == 0 ? now : before, seconds));
                (now, before) = (before, now);
            }
        }

        return series.Count > 0 || await ffmpeg.WaitAsync().ConfigureAwait(false) == 0
            ? series
            : throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The pictures", ffmpeg.ErrorText));
    }

    private static LightSample Measure(byte[] now, byte[] before, double seconds)
    {
        long sum = 0, sumBefore = 0;
        for (int k = 0; k < now.Length; k++)
        {
            sum += now[k];
            sumBefore += before[k];
        }

        float shift = (float)(sum - sumBefore) / now.Length;
        double motion = 0;
        for (int k = 0; k < now.Length; k++)
        {
            motion += Math.Abs(now[k] - before[k] - shift);
        }

        return new LightSample(seconds, sum / (255.0 * now.Length), motion / (255.0 * now.Length));
    }

    private static Action<string> Listener(ClipInfo clip, ChannelWriter<double> times)
    {
        double timeBase = clip.TimeBase.Value;
        return line =>
        {
            if (FramePattern().Match(line) is { Success: true } frame)
            {
                times.TryWrite((long.Parse(frame.Groups[1].ValueSpan, CultureInfo.InvariantCulture) * timeBase) - clip.ContainerStartSeconds);
            }
            else if (TimeBasePattern().Match(line) is { Success: true } configured && Rational.Parse(configured.Groups[1].Value) is { } found)
            {
                timeBase = found.Value;
            }
        };
    }

    [GeneratedRegex(@"showinfo.*\bn:\s*\d+ pts:\s*(-?\d+) ")]
    private static partial Regex FramePattern();

    [GeneratedRegex(@"showinfo.*config in time_base: (\d+/\d+)")]
    private static partial Regex TimeBasePattern();
}
