using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Frames;

/// <summary>Grabs single frames of a clip, exact in time and in colour.</summary>
public static class FrameReader
{
    // Two instants this close are cheaper to decode together than with two seeks: opening a file costs as much as
    // decoding about ten frames, and both usually start at the same keyframe.
    private const double SameStretchSeconds = 1.0;

    /// <summary>Grabs the frame shown at each instant: the last one whose presentation time is not after it.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line (0 = first frame), in any order. A still picture
    /// takes any.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    /// <returns>One frame per instant, in the requested order.</returns>
    /// <exception cref="UnusableInputException">An instant lies outside the clip, or its frame cannot be decoded.</exception>
    public static Task<IReadOnlyList<GrabbedFrame>> GrabAsync(ClipInfo clip, IReadOnlyList<double> seconds, CancellationToken cancel = default) =>
        GrabAsync(clip, seconds, int.MaxValue, cancel);

    /// <summary>The same, scaled down by area averaging on Y'CbCr.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    public static async Task<IReadOnlyList<GrabbedFrame>> GrabAsync(
        ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel = default) =>
        [.. (await TakeAsync(clip, seconds, maxSide, f => f.ToPicture(), cancel).ConfigureAwait(false)).Select(f => new GrabbedFrame(f.Taken, f.Seconds))];

    /// <summary>The same as stored frames, for examining many frames one after the other.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="seconds">Instants on the clip's time line.</param>
    /// <param name="maxSide">Longest side of the pictures in pixels, at least 16; larger frames are scaled down.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    public static async Task<IReadOnlyList<StoredFrame>> GrabStoredAsync(
        ClipInfo clip, IReadOnlyList<double> seconds, int maxSide, CancellationToken cancel = default) =>
        [.. (await TakeAsync(clip, seconds, maxSide, f => f, cancel).ConfigureAwait(false)).Select(f => f.Taken)];

    // The result of a frame is made on the thread that read it.
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

        WantedFrame[] wanted = await PlanAsync(clip, seconds, cancel).ConfigureAwait(false);
        List<FrameGroup<T>> groups = Group<T>(wanted.DistinctBy(w => w.Seconds).OrderBy(w => w.Seconds));
        (int processes, int each) = Share(clip, groups.Count);

        // One single-threaded process per core is most efficient; a single frame is quicker with all threads.
        FrameGrab grab = new(clip, Scaled(clip, maxSide), groups.Count >= Environment.ProcessorCount ? 1 : 0);
        ParallelOptions options = new() { MaxDegreeOfParallelism = processes, CancellationToken = cancel };
        await Parallel.ForEachAsync(groups.Chunk(each), options, async (some, stop) =>
        {
            if (some.Length > 1)
            {
                await grab.TryTogetherAsync(some, take, stop).ConfigureAwait(false);
            }

            foreach (FrameGroup<T> group in some.Where(g => !g.IsComplete))
            {
                await grab.TakeAsync(group, take, stop).ConfigureAwait(false);
            }
        }).ConfigureAwait(false);
        Dictionary<double, T> taken = groups.SelectMany(g => g.Frames.Zip(g.Taken)).ToDictionary(f => f.First.Seconds, f => f.Second!);
        return [.. wanted.Select(w => (taken[w.Seconds], w.Seconds))];
    }

    // Starting FFmpeg takes a third of the cost of a frame near a keyframe, so a process handles several stretches;
    // each holds a decoder with its pictures, so with large pictures fewer run at once.
    private static (int Processes, int GroupsEach) Share(ClipInfo clip, int groups)
    {
        const int fullHd = 1920 * 1080, decodersOfFullHd = 8, mostInOne = 4;
        int decoders = (int)Math.Clamp(decodersOfFullHd * (double)fullHd / ((double)clip.StoredWidth * clip.StoredHeight), 1, 64);
        int processes = Math.Min(Environment.ProcessorCount, decoders);
        int most = clip.SeeksExactly ? Math.Clamp(decoders / processes, 1, mostInOne) : 1;

        // An equal number of rounds for every core, so that no core waits for another.
        int turns = (groups + (processes * most) - 1) / (processes * most);
        return (processes, Math.Max(1, (groups + (processes * turns) - 1) / (processes * turns)));
    }

    private static async Task<WantedFrame[]> PlanAsync(ClipInfo clip, IReadOnlyList<double> seconds, CancellationToken cancel)
    {
        FrameTimes times = await FrameTimes.ReadAroundAsync(clip, seconds, reach: 1, cancel).ConfigureAwait(false);
        WantedFrame[] wanted = new WantedFrame[seconds.Count];
        for (int i = 0; i < wanted.Length; i++)
        {
            int frame = double.IsFinite(seconds[i]) ? times.IndexAt(seconds[i]) : -1;
            // Some files begin with frames that cannot be decoded: the first decodable one stands for them.
            frame = frame < 0 && seconds[i] >= 0 ? 0 : frame;
            double usual = Math.Max(times.UsualGapSeconds, clip.TimeBase.Value);
            bool isLast = frame == times.Count - 1;
            if (frame < 0 || (isLast && seconds[i] >= times.Seconds[frame] + Math.Max(usual, clip.DurationSeconds - times.Seconds[frame]) + 1e-6))
            {
                throw new UnusableInputException(string.Create(
                    CultureInfo.InvariantCulture,
                    $"There is no frame at {seconds[i]:0.###} s in '{clip.Path}': it lasts from 0 to {clip.DurationSeconds:0.###} s. Choose a time in this range."));
            }

            double t = times.Seconds[frame];
            double before = frame > 0 ? t - times.Seconds[frame - 1] : usual;
            double after = isLast ? usual : times.Seconds[frame + 1] - t;
            // Never wider than usual, because a neighbour may be missing if only parts of the times were read.
            wanted[i] = new WantedFrame(t, Math.Min(before, usual) / 2, Math.Min(after, usual) / 2, times.IsKeyframe[frame]);
        }

        return wanted;
    }

    private static List<FrameGroup<T>> Group<T>(IEnumerable<WantedFrame> rising)
        where T : class
    {
        List<List<WantedFrame>> groups = [];
        foreach (WantedFrame w in rising)
        {
            if (groups.Count > 0 && w.Seconds - groups[^1][^1].Seconds <= SameStretchSeconds)
            {
                groups[^1].Add(w);
            }
            else
            {
                groups.Add([w]);
            }
        }

        return [.. groups.Select(g => new FrameGroup<T>([.. g]))];
    }

    private static async Task<StoredFrame> StillAsync(ClipInfo clip, int maxSide, CancellationToken cancel)
    {
        await using RawFrames frames = RawFrames.Start(clip, [new([], [])], Scaled(clip, maxSide), 1, cancel);
        byte[] buffer = new byte[frames.FrameBytes];
        if (await frames.NextAsync(buffer, cancel).ConfigureAwait(false) is null)
        {
            await frames.EndAsync().ConfigureAwait(false);
            throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The picture", frames.ErrorText));
        }

        return new StoredFrame(clip, frames, buffer, 0);
    }

    /// <summary>The stored size whose longer side is at most the limit; null if no scaling is needed.</summary>
    internal static (int Width, int Height)? Scaled(ClipInfo clip, int maxSide)
    {
        int longer = Math.Max(clip.StoredWidth, clip.StoredHeight);
        if (longer <= maxSide)
        {
            return null;
        }

        // Even sides keep chroma samples whole.
        int Side(int side) => Math.Max(2, (int)Math.Round((double)side * maxSide / longer / 2) * 2);
        return (Side(clip.StoredWidth), Side(clip.StoredHeight));
    }
}
