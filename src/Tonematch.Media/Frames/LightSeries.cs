using Tonematch.Media.Clips;
using Tonematch.Media.Processes;
using Tonematch.Sync.Light;

namespace Tonematch.Media.Frames;

/// <summary>
/// Reads light and motion over time in a clip's pictures, from luma alone and at minimal decoding cost.
/// </summary>
/// <remarks>
/// FFmpeg skips the loop filter, scales only luma and outputs 8 bits, which is enough for means and differences of
/// small pictures. Not for measuring colour.
/// </remarks>
public static class LightSeries
{
    private const int LongerSide = 160;

    /// <summary>Reads a section.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="fromSeconds">First instant on the clip's time line, seconds.</param>
    /// <param name="durationSeconds">Duration, seconds, above 0.</param>
    /// <param name="cancel">Cancels the work and the process.</param>
    /// <returns>One sample per frame, times ascending: mean luma 0..1, and the mean absolute luma difference from the previous frame after removing the difference of the means.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public static async Task<IReadOnlyList<LightSample>> ReadAsync(
        ClipInfo clip, double fromSeconds, double durationSeconds, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentOutOfRangeException.ThrowIfNegativeOrZero(durationSeconds);
        RawFrames.Stretch stretch = FrameSequence.Stretch(clip, new() { FromSeconds = fromSeconds });
        await using RawFrames frames = RawFrames.Start(
            clip, [stretch with { InputOptions = ["-skip_loop_filter", "all", .. stretch.InputOptions] }],
            FrameReader.Scaled(clip, LongerSide) ?? (clip.StoredWidth, clip.StoredHeight), null, cancel, lumaOnly: true);
        List<LightSample> series = [];
        byte[] now = new byte[frames.FrameBytes], before = new byte[now.Length];
        while (await frames.NextAsync(now, cancel).ConfigureAwait(false) is { } seconds)
        {
            if (seconds >= fromSeconds + durationSeconds)
            {
                return series;
            }

            // Broken streams repeat times; the first of two frames at one time counts.
            if (seconds >= fromSeconds - 5e-7 && (series.Count == 0 || seconds > series[^1].Seconds))
            {
                series.Add(Measure(now, series.Count == 0 ? now : before, seconds));
                (now, before) = (before, now);
            }
        }

        return series.Count > 0 || await frames.EndAsync().ConfigureAwait(false) is not { } errors
            ? series
            : throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The pictures", errors));
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
}
