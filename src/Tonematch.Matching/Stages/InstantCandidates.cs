using Tonematch.Colour;
using Tonematch.FramePairs;
using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Vision.Charts;

namespace Tonematch.Matching.Stages;

/// <summary>An instant at which both frames were examined, with the frames themselves.</summary>
/// <param name="Primary">Measurements of the primary's frame.</param>
/// <param name="Secondary">Measurements of the secondary's frame.</param>
/// <param name="PrimaryFrame">The primary's frame.</param>
/// <param name="SecondaryFrame">The secondary's frame.</param>
/// <param name="ChartInPrimary">Whether the primary shows the chart, as far as it was searched for.</param>
/// <param name="ChartInSecondary">Whether the secondary shows the chart.</param>
internal sealed record InstantCandidate(
    FrameLook Primary, FrameLook Secondary, StoredFrame PrimaryFrame, StoredFrame SecondaryFrame, bool ChartInPrimary, bool ChartInSecondary)
{
    /// <summary>Whether both show the chart.</summary>
    public bool HasChart => ChartInPrimary && ChartInSecondary;

    /// <summary>The frames as pictures, with code values as the user declared them.</summary>
    /// <param name="clips">The clips, for the meaning of the code values.</param>
    /// <param name="maxSide">Longest side, pixels.</param>
    /// <param name="why">Why this instant was chosen.</param>
    public MatchedFrames Taken(SyncedClips clips, int maxSide, string why) => new(
        Frame(PrimaryFrame, maxSide, clips.PrimaryEncoding), Frame(SecondaryFrame, maxSide, clips.SecondaryEncoding), why);

    private static GrabbedFrame Frame(StoredFrame stored, int maxSide, SignalEncoding encoding) =>
        new GrabbedFrame(stored.ToPicture(maxSide), stored.Seconds).InEncoding(encoding);
}

/// <summary>Examines frames of both clips: are they sharp, still and well exposed, and do they show a chart?</summary>
/// <param name="clips">The clips; not stills.</param>
/// <param name="chart">The chart to search for, or null.</param>
/// <param name="maxSide">Longest side of the frames kept, pixels.</param>
internal sealed class InstantCandidates(SyncedClips clips, ChartReference? chart, int maxSide)
{
    private const int ChartSide = 960;
    private const int LookSide = 480;

    private const double StartStepSeconds = 3;

    /// <summary>The time at the beginning that <see cref="ChartAtStartAsync"/> searches, seconds.</summary>
    public const double StartSeconds = 42;

    /// <summary>Examines both frames of each instant, in time order.</summary>
    /// <param name="instants">In the primary's seconds.</param>
    /// <param name="chartOnly">Skips instants at which the secondary shows no chart.</param>
    /// <param name="cancel">Stops the work.</param>
    public async Task<List<InstantCandidate>> AtAsync(double[] instants, bool chartOnly, CancellationToken cancel)
    {
        if (instants.Length == 0)
        {
            return [];
        }

        double[] theirs = [.. instants.Select(t => clips.NearestFrameAt(t))];
        (double?[] besideOurs, double?[] besideTheirs) = await BesideAsync(instants, theirs, cancel);

        // The primary is searched only where the secondary shows a chart.
        Look[] b = await LookAsync(clips.Secondary, theirs, besideTheirs, _ => true, cancel);
        int[] wanted = [.. Enumerable.Range(0, instants.Length).Where(i => !chartOnly || b[i].HasChart)];
        Look[] a = await LookAsync(clips.Primary, [.. wanted.Select(i => instants[i])], [.. wanted.Select(i => besideOurs[i])], k => b[wanted[k]].HasChart, cancel);
        List<InstantCandidate> looks = [];
        foreach ((Look p, int i) in a.Zip(wanted))
        {
            // Instants given by hand may name a frame twice or go back in time.
            if (looks.Count == 0 || p.Figures.Seconds > looks[^1].Primary.Seconds)
            {
                looks.Add(new InstantCandidate(p.Figures, b[i].Figures, p.Frame, b[i].Frame, p.HasChart, b[i].HasChart));
            }
        }

        return looks;
    }

    /// <summary>
    /// Searches the beginning more closely, because charts are shown there for a few seconds: first only the
    /// secondary's keyframes, which decode on their own, and both clips where it shows a chart.
    /// </summary>
    /// <param name="from">Start of the overlap, in the primary's seconds.</param>
    /// <param name="cancel">Stops the work.</param>
    public async Task<List<InstantCandidate>> ChartAtStartAsync(double from, CancellationToken cancel)
    {
        double start = Math.Max(0, clips.Sync!.SecondaryTime(from));
        List<double> shown = [];
        await Parallel.ForEachAsync(KeyframesAsync(clips.Secondary, start, cancel), cancel, (frame, stop) =>
        {
            using (frame)
            {
                if (ShowsChart(frame.Picture, stop))
                {
                    lock (shown)
                    {
                        shown.Add(clips.Sync!.PrimaryTime(frame.Seconds));
                    }
                }
            }

            return ValueTask.CompletedTask;
        });
        return await AtAsync([.. shown.Where(t => t >= 0).Order()], chartOnly: true, cancel);
    }

    /// <summary>
    /// A chart that the clips show at different instants, or that only one of them shows: among the instants examined
    /// and, if the secondary shows it, among the primary's keyframes at the beginning too. Null if none is seen.
    /// </summary>
    /// <param name="seen">The instants examined; none of them shows it in both.</param>
    /// <param name="from">Start of the overlap, in the primary's seconds.</param>
    /// <param name="cancel">Stops the work.</param>
    public async Task<(InstantCandidate? InPrimary, InstantCandidate? InSecondary)?> ChartApartAsync(
        IReadOnlyList<InstantCandidate> seen, double from, CancellationToken cancel)
    {
        InstantCandidate? inSecondary = seen.FirstOrDefault(c => c.ChartInSecondary), inPrimary = await FirstInPrimaryAsync(seen, cancel);
        if (inPrimary is null && inSecondary is not null)
        {
            List<double> keyframes = [];
            await foreach (TimedPicture frame in KeyframesAsync(clips.Primary, from, cancel))
            {
                using (frame)
                {
                    if (await Task.Run(() => ShowsChart(frame.Picture, cancel), cancel))
                    {
                        keyframes.Add(frame.Seconds);
                        break;
                    }
                }
            }

            inPrimary = (await AtAsync([.. keyframes], chartOnly: false, cancel)).FirstOrDefault();
        }

        return inPrimary is null && inSecondary is null ? null : (inPrimary, inSecondary);
    }

    private async Task<InstantCandidate?> FirstInPrimaryAsync(IReadOnlyList<InstantCandidate> seen, CancellationToken cancel)
    {
        bool[] shows = new bool[seen.Count];
        await Parallel.ForEachAsync(Enumerable.Range(0, seen.Count), cancel, (i, stop) =>
        {
            shows[i] = seen[i].ChartInPrimary || (!seen[i].ChartInSecondary && ShowsChart(seen[i].PrimaryFrame.ToPicture(ChartSide), stop));
            return ValueTask.CompletedTask;
        });
        return seen.Where((_, i) => shows[i]).FirstOrDefault();
    }

    private IAsyncEnumerable<TimedPicture> KeyframesAsync(ClipInfo clip, double start, CancellationToken cancel) => clips.Reader.SequenceAsync(
        clip,
        new() { KeyframesOnly = true, MinGapSeconds = StartStepSeconds * 0.8, FromSeconds = start, DurationSeconds = StartSeconds, MaxSide = ChartSide },
        cancel);

    private sealed record Look(FrameLook Figures, StoredFrame Frame, bool HasChart);

    // The neighbouring frames, which show motion, where they are decoded anyway. An instant is usually at a keyframe of
    // one clip, whose neighbours would cost more than the frame itself; then the other clip shows the motion at that
    // moment, and sharpness shows whether the camera was turned. At a keyframe of both, the secondary's next frame is
    // taken.
    private async Task<(double?[] Ours, double?[] Theirs)> BesideAsync(double[] ours, double[] theirs, CancellationToken cancel)
    {
        FrameTimes[] times = await Task.WhenAll(
            clips.Reader.TimesAroundAsync(clips.Primary, ours, reach: 1, cancel), clips.Reader.TimesAroundAsync(clips.Secondary, theirs, reach: 1, cancel));
        double?[] besideOurs = [.. ours.Select(t => Beside(times[0], t))], besideTheirs = [.. theirs.Select(t => Beside(times[1], t))];
        for (int i = 0; i < ours.Length; i++)
        {
            besideTheirs[i] ??= besideOurs[i] is null ? After(times[1], theirs[i]) : null;
        }

        return (besideOurs, besideTheirs);

        static double? Beside(FrameTimes times, double t) => times.IndexAt(t) is >= 0 and var i && times.Beside(i) is { } beside ? times.Seconds[beside] : null;
        static double? After(FrameTimes times, double t) => times.IndexAt(t) is >= 0 and var i && i + 1 < times.Count ? times.Seconds[i + 1] : null;
    }

    private async Task<Look[]> LookAsync(ClipInfo clip, double[] instants, double?[] beside, Func<int, bool> mayShowIt, CancellationToken cancel)
    {
        IReadOnlyList<StoredFrame> frames = await clips.Reader.GrabStoredAsync(clip, [.. instants, .. instants.Zip(beside, (t, b) => b ?? t)], maxSide, cancel);
        Look[] looks = new Look[instants.Length];
        await Parallel.ForEachAsync(Enumerable.Range(0, instants.Length), cancel, (i, stop) =>
        {
            (StoredFrame frame, StoredFrame other) = (frames[i], frames[instants.Length + i]);
            looks[i] = new Look(
                FrameLook.Measure(frame.ToPicture(LookSide), other.Seconds != frame.Seconds ? other.ToPicture(LookSide) : null, frame.Seconds), frame,
                chart is not null && mayShowIt(i) && ShowsChart(frame.ToPicture(ChartSide), stop));
            return ValueTask.CompletedTask;
        });
        return looks;
    }

    private bool ShowsChart(Picture picture, CancellationToken cancel) => chart is not null && ChartFinder.Find(picture, chart, cancel) is ChartFound;
}
