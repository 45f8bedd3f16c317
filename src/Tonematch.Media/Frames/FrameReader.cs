using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Frames;

/// <summary>Grabs single frames of a clip, exact in time and in colour.</summary>
public static class FrameReader
{
    // Two instants this near are cheaper in one process than in two: starting one costs as much as decoding
    // some ten frames, and both usually begin at the same keyframe.
    private const double SameProcessSeconds = 1.0;

    // In transport streams a jump lands up to some seconds off.
    private const double RoughSeekSeconds = 3.0;

    /// <summary>Grabs the frame shown at each instant: the last one whose presentation time is not after it.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line (0 = first frame), in any order. A still picture
    /// takes any.</param>
    /// <param name="cancel">Ends the work and the processes.</param>
    /// <returns>One frame an instant, in the order asked for.</returns>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public static Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, CancellationToken cancel = default) =>
        GrabAsync(clip, seconds, int.MaxValue, cancel);

    /// <summary>The same, scaled down by area averaging on Y'CbCr.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Ends the work and the processes.</param>
    public static async Task<IReadOnlyList<GrabbedFrame>> GrabAsync(
        ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel = default) =>
        [.. (await TakeAsync(clip, seconds, maxSide, f => f.ToPicture(), cancel).ConfigureAwait(false)).Select(f => new GrabbedFrame(f.Taken, f.Seconds))];

    /// <summary>The same, kept as the clip stores them, for many frames that are looked at one after the other.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Ends the work and the processes.</param>
    public static async Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(
        ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel = default) =>
        [.. (await TakeAsync(clip, seconds, maxSide, f => f, cancel).ConfigureAwait(false)).Select(f => f.Taken)];

    // What is taken of a frame is made on the thread that read it.
    private static async Task<(T Taken, double Seconds)[]> TakeAsync<T>(
        ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentNullException.ThrowIfNull(seconds);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxSide, 16);
        if (seconds.Count == 0)
        {
            return [];
        }

        if (clip.IsStillImage)
        {
            T still = take(await StillAsync(clip, maxSide, cancel).ConfigureAwait(false));
            return [.. seconds.Select(s => (still, s))];
        }

        Wanted[] wanted = await PlanAsync(clip, seconds, cancel).ConfigureAwait(false);
        List<Wanted[]> groups = Group(wanted.DistinctBy(w => w.Seconds).OrderBy(w => w.Seconds));
        // One process a core, each with one thread, wastes least; a lone frame is quicker with all threads.
        string threads = groups.Count >= Environment.ProcessorCount ? "1" : "0";
        Dictionary<double, T> taken = [];
        ParallelOptions options = new() { MaxDegreeOfParallelism = Environment.ProcessorCount, CancellationToken = cancel };
        await Parallel.ForEachAsync(groups, options, async (group, stop) =>
        {
            T[] found = await GrabGroupAsync(clip, group, maxSide, threads, take, stop).ConfigureAwait(false);
            lock (taken)
            {
                for (int i = 0; i < found.Length; i++)
                {
                    taken[group[i].Seconds] = found[i];
                }
            }
        }).ConfigureAwait(false);
        return [.. wanted.Select(w => (taken[w.Seconds], w.Seconds))];
    }

    private static async Task<Wanted[]> PlanAsync(ClipInfo clip, IReadOnlyList<double> seconds, CancellationToken cancel)
    {
        FrameTimes times = await FrameTimes.ReadAroundAsync(clip, seconds, reach: 1, cancel).ConfigureAwait(false);
        Wanted[] wanted = new Wanted[seconds.Count];
        for (int i = 0; i < wanted.Length; i++)
        {
            int frame = double.IsFinite(seconds[i]) ? times.IndexAt(seconds[i]) : -1;
            // Some files begin with frames that cannot be decoded: until the first one comes, it is the one shown.
            frame = frame < 0 && seconds[i] >= 0 ? 0 : frame;
            double usual = Math.Max(times.UsualGapSeconds, clip.TimeBase.Value);
            bool isLast = frame == times.Count - 1;
            if (frame < 0 || (isLast && seconds[i] >= times.Seconds[frame] + Math.Max(usual, clip.DurationSeconds - times.Seconds[frame]) + 1e-6))
            {
                throw new UnusableInputException(string.Create(
                    CultureInfo.InvariantCulture,
                    $"There is no frame at {seconds[i]:0.###} s in '{clip.Path}': it lasts from 0 to {clip.DurationSeconds:0.###} s. Choose a time within."));
            }

            double t = times.Seconds[frame];
            double before = frame > 0 ? t - times.Seconds[frame - 1] : usual;
            double after = isLast ? usual : times.Seconds[frame + 1] - t;
            // Never wider than usual: where only stretches of the times were read, a neighbour may be missing.
            wanted[i] = new Wanted(t, Math.Min(before, usual) / 2, Math.Min(after, usual) / 2);
        }

        return wanted;
    }

    private static List<Wanted[]> Group(IEnumerable<Wanted> rising)
    {
        List<List<Wanted>> groups = [];
        foreach (Wanted w in rising)
        {
            if (groups.Count > 0 && w.Seconds - groups[^1][^1].Seconds <= SameProcessSeconds)
            {
                groups[^1].Add(w);
            }
            else
            {
                groups.Add([w]);
            }
        }

        return [.. groups.Select(g => g.ToArray())];
    }

    private static async Task<T[]> GrabGroupAsync<T>(
        ClipInfo clip, Wanted[] group, int maxSide, string threads, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        T?[] found = new T?[group.Length];
        string errors = "";
        // Aimed half a frame early, an exact jump is right, and what the stream is like is known from the probe: looking
        // at it again is a quarter of what a frame costs. Should a container's index mislead, or a decoder need that
        // look, the frames' own times show it, and decoding begins well before, after a full look.
        foreach ((double early, bool known) in clip.SeeksExactly
            ? ((double, bool)[])[(0, true), (RoughSeekSeconds, false)]
            : [(RoughSeekSeconds, false), (10 * RoughSeekSeconds, false)])
        {
            errors = await TryGrabAsync(clip, group, found, early, known, maxSide, threads, take, cancel).ConfigureAwait(false);
            if (!found.Contains(null))
            {
                return found!;
            }
        }

        Wanted missing = group[Array.IndexOf(found, null)];
        throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(
            clip.Path, string.Create(CultureInfo.InvariantCulture, $"The frame at {missing.Seconds:0.###} s"), errors));
    }

    private static async Task<string> TryGrabAsync<T>(
        ClipInfo clip, Wanted[] group, T?[] found, double early, bool known, int maxSide, string threads, Func<StoredFrame, T> take, CancellationToken cancel)
        where T : class
    {
        double start = clip.ContainerStartSeconds;
        // Without that look FFmpeg does not know where the file begins, and counts from 0.
        double seek = group[0].Seconds - group[0].HalfGapBefore + start - (known ? 0 : clip.FileStartSeconds) - early;
        string select = string.Join('+', group.Select(w => string.Create(
            CultureInfo.InvariantCulture,
            $"between(t,{w.Seconds + start - w.HalfGapBefore:0.#########},{w.Seconds + start + w.HalfGapAfter:0.#########})")));
        await using RawFrames frames = RawFrames.Start(
            clip,
            [
                "-threads", threads, .. known ? ["-nofind_stream_info"] : (string[])[],
                .. seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[],
            ],
            [$"select='{select}'"], Scaled(clip, maxSide), group.Length, cancel);
        byte[] buffer = new byte[frames.FrameBytes];
        while (await frames.NextAsync(buffer, cancel).ConfigureAwait(false) is { } time)
        {
            int i = Array.FindIndex(group, w => time >= w.Seconds - w.HalfGapBefore && time < w.Seconds + w.HalfGapAfter);
            if (i >= 0 && found[i] is null)
            {
                found[i] = take(new StoredFrame(clip, frames, buffer, group[i].Seconds));
                buffer = new byte[frames.FrameBytes];
            }
        }

        return await frames.EndAsync().ConfigureAwait(false) ?? frames.ErrorText;
    }

    private static async Task<StoredFrame> StillAsync(ClipInfo clip, int maxSide, CancellationToken cancel)
    {
        await using RawFrames frames = RawFrames.Start(clip, [], [], Scaled(clip, maxSide), 1, cancel);
        byte[] buffer = new byte[frames.FrameBytes];
        if (await frames.NextAsync(buffer, cancel).ConfigureAwait(false) is null)
        {
            await frames.EndAsync().ConfigureAwait(false);
            throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The picture", frames.ErrorText));
        }

        return new StoredFrame(clip, frames, buffer, 0);
    }

    /// <summary>The stored size whose longer side is at most the limit; null when nothing is to be scaled.</summary>
    internal static (int Width, int Height)? Scaled(ClipInfo clip, int maxSide)
    {
        int longer = Math.Max(clip.StoredWidth, clip.StoredHeight);
        if (longer <= maxSide)
        {
            return null;
        }

        // Even sides keep whole chroma samples.
        int Side(int side) => Math.Max(2, (int)Math.Round((double)side * maxSide / longer / 2) * 2);
        return (Side(clip.StoredWidth), Side(clip.StoredHeight));
    }

    /// <summary>A frame to be found: its time and half the distance to its neighbours.</summary>
    private readonly record struct Wanted(double Seconds, double HalfGapBefore, double HalfGapAfter);
}
