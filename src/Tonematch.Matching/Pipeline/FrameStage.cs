using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Charts;
using Tonematch.Colour;
using Tonematch.FramePairs;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Vision;
using Tonematch.Vision.Charts;

namespace Tonematch.Matching;

/// <summary>Chooses the instants that are compared and takes both frames of each.</summary>
public static class FrameStage
{
    // So many instants of the overlap are looked at (one a second in short clips), as small pictures, a few at a time
    // so that memory stays flat.
    private const int LookedAt = 16;
    private const int FewestLookedAt = 8;
    private const int LookSide = 960;
    private const int AtATime = 8;
    private const int MostChartFrames = 4;

    // Five frames already give a thousand pairs; more are taken only to cover more states of the light.
    private const int UsualFrames = 5;
    private const int MostFrames = 8;

    // Colours are measured in pictures of at most this size: a 2160p frame in floating point is 100 MB, and its patches
    // hold enough pixels at half the size. Places marked by hand are in the clip's own pixels, so those frames stay whole.
    private const int MeasuredSide = 1920;
    private const int MostWholeFrames = 3;
    private const int StartInstants = 14;
    private const double StartStepSeconds = 3;

    /// <summary>The frames, and what the user should know about their choice.</summary>
    /// <param name="Frames">At least one pair, in order of time.</param>
    /// <param name="Notes">Sentences.</param>
    public sealed record Result(ImmutableArray<MatchedFrames> Frames, ImmutableArray<string> Notes);

    /// <summary>
    /// Frames at the instants given by hand; else of the chart, where both clips show one and the method allows it;
    /// else at sharp, still, unclipped instants of every lighting state, spread over the overlap.
    /// </summary>
    /// <exception cref="UnusableInputException">A time given by hand is malformed.</exception>
    /// <exception cref="NoTrustworthyResultException">The clips do not overlap, or not at the instants given.</exception>
    public static async Task<Result> RunAsync(
        ClipInfo primary, ClipInfo secondary, SyncFound? sync, MatchRequest request, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(request);
        if (sync is null)
        {
            return new Result(await GrabAsync(primary, secondary, [new Instant(0, 0, "still pictures")], request, cancel), []);
        }

        (double from, double to) = Overlap(primary, secondary, sync);
        double[] byHand = [.. request.At.Select(text => TimeByHand(text, primary))];
        if (byHand.FirstOrDefault(t => t < from || t > to, double.NaN) is var outside && !double.IsNaN(outside))
        {
            throw new NoTrustworthyResultException(string.Create(CultureInfo.InvariantCulture,
                $"At {outside:0.###} s of the primary the two clips do not overlap: they do from {from:0.###} s to {to:0.###} s."));
        }

        double[] candidates = byHand.Length > 0
            ? byHand
            : await QuickInstants.ChooseAsync(primary, secondary, sync, from, to, (int)Math.Clamp(to - from, FewestLookedAt, LookedAt), withFrameBefore: true, cancel);
        bool wantsChart = byHand.Length == 0 && NativeVision.Fault is null
            && (request.Method == SamplingMethod.Chart || (request.Method is null && request.Regions.IsEmpty));
        ChartReference? sought = wantsChart ? request.Chart : null;
        Looks looks = await LookAsync(primary, secondary, sync, candidates, sought, chartOnly: false, cancel);
        if (wantsChart && looks.WithChart.Count == 0 && to - from > LookedAt * StartStepSeconds)
        {
            // Charts are shown at the beginning and for a few seconds: there the net is closer.
            double[] start = await ChartAtStartAsync(secondary, sync, from, request.Chart, cancel);
            Looks closer = await LookAsync(primary, secondary, sync, start, sought, chartOnly: true, cancel);
            looks = closer.WithChart.Count > 0 ? closer : looks;
        }

        bool chart = looks.WithChart.Count > 0;
        FramePairChoice Choose(int count) => FramePairChooser.Choose(
            chart ? [.. looks.WithChart.Select(i => looks.Primary[i])] : looks.Primary,
            Distinct(chart ? looks.WithChart.Select(i => looks.Secondary[i]) : looks.Secondary),
            sync,
            new FramePairOptions
            {
                AtSeconds = [.. byHand],
                Count = count,
                MaximumTimeErrorSeconds = 0.55 / Math.Max(1, Math.Min(primary.FrameRate.Value, secondary.FrameRate.Value)),
                SpacingSeconds = chart ? 0.1 : 0.5,
            });
        FramePairChoice choice = Choose(chart ? MostChartFrames : IsMeasuredWhole(request) && (IsLarge(primary) || IsLarge(secondary)) ? MostWholeFrames : UsualFrames);
        if (!chart && choice.LightStates > choice.Pairs.Length && choice.Pairs.Length == UsualFrames)
        {
            choice = Choose(MostFrames);
        }

        Instant[] instants = [.. choice.Pairs.Select(p => new Instant(p.Primary.Seconds, p.Secondary.Seconds, chart ? $"the chart is in both pictures; {p.Why}" : p.Why))];
        return instants.Length > 0
            ? new Result(await GrabAsync(primary, secondary, instants, request, cancel, IsMeasuredWhole(request) ? int.MaxValue : MeasuredSide), choice.Warnings)
            : throw new NoTrustworthyResultException(choice.Warnings.FirstOrDefault() ?? "The clips share no moment at this offset; check the offset.");
    }

    /// <summary>The stretch of the primary's time that both clips show.</summary>
    /// <exception cref="NoTrustworthyResultException">There is none.</exception>
    public static (double From, double To) Overlap(ClipInfo primary, ClipInfo secondary, SyncFound sync)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(sync);
        double from = Math.Max(0, sync.PrimaryTime(0));
        double to = Math.Min(LastFrame(primary), sync.PrimaryTime(LastFrame(secondary)));
        return to - from >= 0.1 ? (from, to) : throw new NoTrustworthyResultException(string.Create(CultureInfo.InvariantCulture,
            $"With an offset of {sync.OffsetSeconds:0.###} s the two clips do not overlap in time, so nothing can be compared. Check --offset, and that both are of the same event."));
    }

    /// <summary>
    /// Where to ask the secondary for the frame nearest to an instant of the primary: half a frame later, because a
    /// grab gives the frame that is shown, not the one that comes next.
    /// </summary>
    public static double NearestFrameAt(ClipInfo secondary, SyncFound sync, double primarySeconds)
    {
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(sync);
        double half = secondary.FrameRate.Value > 0 ? 0.5 / secondary.FrameRate.Value : 0;
        return Math.Clamp(sync.SecondaryTime(primarySeconds) + half, 0, Math.Max(0, LastFrame(secondary)));
    }

    /// <summary>Takes both frames at each instant.</summary>
    public static async Task<ImmutableArray<MatchedFrames>> GrabAsync(
        ClipInfo primary, ClipInfo secondary, IReadOnlyList<Instant> instants, MatchRequest request, CancellationToken cancel, int maxSide = int.MaxValue)
    {
        ArgumentNullException.ThrowIfNull(instants);
        ArgumentNullException.ThrowIfNull(request);
        Task<IReadOnlyList<GrabbedFrame>> a = FrameReader.GrabAsync(primary, [.. instants.Select(i => i.PrimarySeconds)], maxSide, cancel);
        if (instants.Count >= Environment.ProcessorCount)
        {
            // One clip already keeps every core busy; both at once would only hold twice the memory.
            await a;
        }

        Task<IReadOnlyList<GrabbedFrame>> b = FrameReader.GrabAsync(secondary, [.. instants.Select(i => i.SecondarySeconds)], maxSide, cancel);
        IReadOnlyList<GrabbedFrame>[] frames = await Task.WhenAll(a, b);
        return [.. instants.Select((instant, i) => new MatchedFrames(
            InEncoding(frames[0][i], request.PrimaryEncoding), InEncoding(frames[1][i], request.SecondaryEncoding), instant.Why))];
    }

    /// <summary>An instant at which both frames are taken.</summary>
    /// <param name="PrimarySeconds">In the primary's time.</param>
    /// <param name="SecondarySeconds">In the secondary's time.</param>
    /// <param name="Why">Why it was chosen.</param>
    public sealed record Instant(double PrimarySeconds, double SecondarySeconds, string Why);

    private static bool IsMeasuredWhole(MatchRequest request) =>
        !request.Regions.IsEmpty || request.PrimaryChartCorners is not null || request.SecondaryChartCorners is not null;

    private static bool IsLarge(ClipInfo clip) => Math.Max(clip.StoredWidth, clip.StoredHeight) > MeasuredSide;

    private sealed record Looks(List<FrameLook> Primary, List<FrameLook> Secondary, List<int> WithChart);

    /// <summary>The frame with its code values meaning what the user said; as it is when nothing was said.</summary>
    internal static GrabbedFrame InEncoding(GrabbedFrame frame, SignalEncoding? given) =>
        given is null ? frame : frame with { Picture = frame.Picture.WithEncoding(given) };

    private static double LastFrame(ClipInfo clip) => clip.DurationSeconds - (clip.FrameRate.Value > 0 ? 1 / clip.FrameRate.Value : 0);

    private static double TimeByHand(string text, ClipInfo primary) =>
        ClockTime.TryParse(text, primary.IsVariableRate ? null : primary.FrameRate.Value, out double seconds, out string? error)
            ? seconds
            : throw new UnusableInputException(error);

    // Where, in the primary's time, the secondary shows the chart soon after the beginning. Only its keyframes are
    // looked at: a single one decodes by itself.
    private static async Task<double[]> ChartAtStartAsync(ClipInfo secondary, SyncFound sync, double from, ChartReference chart, CancellationToken cancel)
    {
        double[] grid = [.. Enumerable.Range(0, StartInstants).Select(i => sync.SecondaryTime(from + ((i + 0.5) * StartStepSeconds)))];
        FrameTimes times = await FrameTimes.ReadAroundAsync(secondary, grid, StartStepSeconds / 2, cancel);
        double[] keys = [.. grid.Select(t => NearKeyframe(times, t)).Distinct()];
        List<double> shown = [];
        foreach (double[] some in keys.Chunk(AtATime))
        {
            IReadOnlyList<GrabbedFrame> frames = await FrameReader.GrabAsync(secondary, some, LookSide, cancel);
            bool[] found = new bool[frames.Count];
            await Parallel.ForEachAsync(Enumerable.Range(0, found.Length), cancel, (i, stop) =>
            {
                found[i] = ChartFinder.Find(frames[i].Picture, chart, stop) is ChartFound;
                return ValueTask.CompletedTask;
            });
            PictureMemory.LetGo();
            shown.AddRange(frames.Where((_, i) => found[i]).Select(f => sync.PrimaryTime(f.Seconds)));
        }

        return [.. shown.Where(t => t >= 0)];
    }

    // The keyframe nearest to an instant within the step of the search, else the frame of that instant.
    private static double NearKeyframe(FrameTimes times, double seconds)
    {
        int at = Math.Max(0, times.NearestTo(seconds)), key = at;
        for (int i = 0; i < times.Count; i++)
        {
            if (times.IsKeyframe[i] && Math.Abs(times.Seconds[i] - seconds) <= StartStepSeconds / 2
                && (!times.IsKeyframe[key] || Math.Abs(times.Seconds[i] - seconds) < Math.Abs(times.Seconds[key] - seconds)))
            {
                key = i;
            }
        }

        return times.Seconds[key];
    }

    // With chartOnly, only instants at which both show the chart are looked at closer.
    private static async Task<Looks> LookAsync(
        ClipInfo primary, ClipInfo secondary, SyncFound sync, double[] instants, ChartReference? chart, bool chartOnly, CancellationToken cancel)
    {
        Looks looks = new([], [], []);
        foreach (double[] some in instants.Chunk(AtATime))
        {
            // A search that finds no chart is slow, so the primary is searched only where the secondary shows one.
            // In a long overlap a chart that stays in the picture is met at half of the instants too.
            int every = chartOnly || instants.Length < LookedAt ? 1 : 2;
            (FrameLook Look, bool Chart)[] b = await LookAsync(secondary, [.. some.Select(t => NearestFrameAt(secondary, sync, t))], chart, i => i % every == 0, cancel);
            int[] wanted = [.. Enumerable.Range(0, some.Length).Where(i => !chartOnly || b[i].Chart)];
            (FrameLook Look, bool Chart)[] a = await LookAsync(primary, [.. wanted.Select(i => some[i])], chart, k => b[wanted[k]].Chart, cancel);
            foreach (((FrameLook p, bool chartP), int i) in a.Zip(wanted))
            {
                (FrameLook s, bool chartS) = b[i];

                // Instants by hand may name the same frame twice, or step back.
                if (looks.Primary.Count == 0 || p.Seconds > looks.Primary[^1].Seconds)
                {
                    if (chartP && chartS)
                    {
                        looks.WithChart.Add(looks.Primary.Count);
                    }

                    looks.Primary.Add(p);
                    looks.Secondary.Add(s);
                }
            }

            PictureMemory.LetGo();
        }

        return looks;
    }

    private static async Task<(FrameLook Look, bool Chart)[]> LookAsync(
        ClipInfo clip, double[] instants, ChartReference? chart, Func<int, bool> mayShowIt, CancellationToken cancel)
    {
        double frame = clip.FrameRate.Value > 0 ? 1 / clip.FrameRate.Value : 0;
        double[] before = [.. instants.Select(t => Math.Max(0, t - frame))];
        IReadOnlyList<GrabbedFrame> frames = await FrameReader.GrabAsync(clip, [.. instants.Select(t => Math.Max(0, t)), .. before], LookSide, cancel);
        (FrameLook, bool)[] looks = new (FrameLook, bool)[instants.Length];
        await Parallel.ForEachAsync(Enumerable.Range(0, instants.Length), cancel, (i, stop) =>
        {
            GrabbedFrame now = frames[i], earlier = frames[instants.Length + i];
            Picture? previous = earlier.Seconds < now.Seconds ? PictureScale.ToSmall(earlier.Picture, 480) : null;
            looks[i] = (FrameLook.Measure(PictureScale.ToSmall(now.Picture, 480), previous, now.Seconds),
                chart is not null && mayShowIt(i) && ChartFinder.Find(now.Picture, chart, stop) is ChartFound);
            return ValueTask.CompletedTask;
        });
        return looks;
    }

    // Two instants may fall on the same frame of a slower secondary.
    private static List<FrameLook> Distinct(IEnumerable<FrameLook> looks) => [.. looks.DistinctBy(l => l.Seconds).OrderBy(l => l.Seconds)];
}
