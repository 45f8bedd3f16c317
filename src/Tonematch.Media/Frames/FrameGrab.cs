using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Frames;

/// <summary>Grabs groups of frames of one clip with FFmpeg, identified by the times that the decoder reports.</summary>
/// <param name="clip">The clip to decode.</param>
/// <param name="size">Size to scale to, as stored; null keeps it.</param>
/// <param name="threads">Decoding threads per process; 0 for one per core.</param>
internal sealed class FrameGrab(ClipInfo clip, (int Width, int Height)? size, int threads)
{
    // In transport streams seeking may be several seconds off.
    private const double RoughSeekSeconds = 3.0;

    /// <summary>
    /// Grabs as many frames of several groups as possible with one process, from a container with exact seeking;
    /// <see cref="TakeAsync"/> does the rest and reports errors.
    /// </summary>
    public async Task TryTogetherAsync<T>(FrameGroup<T>[] groups, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        RawFrames.Stretch[] stretches = [.. groups.Select(g => Stretch(g.Frames, early: 0, known: true, endsItself: true))];
        await using RawFrames frames = RawFrames.Start(clip, stretches, size, groups.Sum(g => g.Frames.Length), cancel);
        foreach ((FrameLine line, byte[] raw) in await frames.ReadAllAsync(cancel).ConfigureAwait(false))
        {
            FrameGroup<T> group = groups[line.Stretch];
            if (group.Missing(line.Seconds) is int i and >= 0)
            {
                group.Taken[i] = take(new StoredFrame(clip, frames, raw, group.Frames[i].Seconds));
            }
        }

        await frames.EndAsync().ConfigureAwait(false);
    }

    /// <summary>Grabs the remaining frames of a group.</summary>
    /// <exception cref="UnusableInputException">One of them cannot be decoded.</exception>
    public async Task TakeAsync<T>(FrameGroup<T> group, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        string errors = "";
        // Seeking exactly, half a frame early, is normally right, and the stream's properties are known from the probe:
        // analysing it again would take a quarter of the cost of a frame. If the container's index is wrong, or a
        // decoder needs the analysis, the frames' own times reveal it, and decoding starts well before with a full
        // analysis.
        foreach ((double early, bool known) in clip.SeeksExactly
            ? ((double, bool)[])[(0, true), (RoughSeekSeconds, false)]
            : [(RoughSeekSeconds, false), (10 * RoughSeekSeconds, false)])
        {
            errors = await TryAsync(group, early, known, take, cancel).ConfigureAwait(false);
            if (group.IsComplete)
            {
                return;
            }
        }

        WantedFrame missing = group.Frames[Array.IndexOf(group.Taken, null)];
        throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(
            clip.Path, string.Create(CultureInfo.InvariantCulture, $"The frame at {missing.Seconds:0.###} s"), errors));
    }

    private async Task<string> TryAsync<T>(FrameGroup<T> group, double early, bool known, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        await using RawFrames frames = RawFrames.Start(
            clip, [Stretch(group.Frames, early, known, endsItself: false)], size, group.Frames.Length, cancel);
        byte[] buffer = new byte[frames.FrameBytes];
        while (await frames.NextAsync(buffer, cancel).ConfigureAwait(false) is { } time)
        {
            if (group.Missing(time) is int i and >= 0)
            {
                group.Taken[i] = take(new StoredFrame(clip, frames, buffer, group.Frames[i].Seconds));
                buffer = new byte[frames.FrameBytes];
            }
        }

        return await frames.EndAsync().ConfigureAwait(false) ?? frames.ErrorText;
    }

    private RawFrames.Stretch Stretch(WantedFrame[] wanted, double early, bool known, bool endsItself)
    {
        double start = clip.ContainerStartSeconds;
        // Without that analysis FFmpeg does not know where the file begins and counts from 0.
        double seek = wanted[0].Begin + start - (known ? 0 : clip.FileStartSeconds) - early;
        string select = string.Join('+', wanted.Select(w => string.Create(
            CultureInfo.InvariantCulture, $"between(t,{w.Begin + start:0.#########},{w.End + start:0.#########})")));
        return new(
            [
                "-threads", threads.ToString(CultureInfo.InvariantCulture), .. known ? ["-nofind_stream_info"] : (string[])[],
                // A decoder that reorders frames returns a keyframe only after the next few; if told to skip all
                // others, it returns it at once, at half the cost. If that returns none, the second try decodes all.
                .. known && wanted.All(w => w.IsKeyframe) ? ["-skip_frame", "nokey"] : (string[])[],
                .. seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
                // Until half a frame beyond the end of the last one.
                .. endsItself ? ["-t", (wanted[^1].End + wanted[^1].HalfGapAfter - wanted[0].Begin).ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
            ],
            [$"select='{select}'"]);
    }
}
