using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Frames;

/// <summary>Takes groups of frames of one clip out of FFmpeg, told apart by the times that the decoder gives them.</summary>
/// <param name="clip">What to decode.</param>
/// <param name="size">Size to scale to, as stored; null keeps it.</param>
/// <param name="threads">Decoding threads of a process; 0 for as many as there are cores.</param>
internal sealed class FrameGrab(ClipInfo clip, (int Width, int Height)? size, int threads)
{
    // In transport streams a jump lands up to some seconds off.
    private const double RoughSeekSeconds = 3.0;

    /// <summary>
    /// Takes what it can of several groups with one process, of a container whose jumps are exact; the rest is for
    /// <see cref="TakeAsync"/>, which also says what is wrong.
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

    /// <summary>Takes the frames of a group that were not taken yet.</summary>
    /// <exception cref="UnusableInputException">One of them cannot be decoded.</exception>
    public async Task TakeAsync<T>(FrameGroup<T> group, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        string errors = "";
        // Aimed half a frame early, an exact jump is right, and what the stream is like is known from the probe: looking
        // at it again is a quarter of what a frame costs. Should a container's index mislead, or a decoder need that
        // look, the frames' own times show it, and decoding begins well before, after a full look.
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
        // Without that look FFmpeg does not know where the file begins, and counts from 0.
        double seek = wanted[0].Begin + start - (known ? 0 : clip.FileStartSeconds) - early;
        string select = string.Join('+', wanted.Select(w => string.Create(
            CultureInfo.InvariantCulture, $"between(t,{w.Begin + start:0.#########},{w.End + start:0.#########})")));
        return new(
            [
                "-threads", threads.ToString(CultureInfo.InvariantCulture), .. known ? ["-nofind_stream_info"] : (string[])[],
                // A decoder that keeps frames back to put them in order gives a keyframe only after the next few; told to pass
                // over all others it gives it at once, at half the cost. Should that give none, the second try decodes all.
                .. known && wanted.All(w => w.IsKeyframe) ? ["-skip_frame", "nokey"] : (string[])[],
                .. seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
                // Half a frame beyond the last one's end.
                .. endsItself ? ["-t", (wanted[^1].End + wanted[^1].HalfGapAfter - wanted[0].Begin).ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
            ],
            [$"select='{select}'"]);
    }
}
