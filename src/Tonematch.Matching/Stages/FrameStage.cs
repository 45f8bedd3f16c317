using System.Collections.Immutable;
using System.Globalization;
using Tonematch.FramePairs;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Vision;

namespace Tonematch.Matching.Stages;

/// <summary>Chooses the instants to compare and takes both frames of each.</summary>
public static class FrameStage
{
    // The number of instants of the overlap that are examined (one per second in short clips).
    private const int LookedAt = 12;
    private const int FewestLookedAt = 8;
    private const int MostChartFrames = 4;

    // Five frames already give a thousand pairs; more are taken only to cover more lighting states.
    private const int UsualFrames = 5;
    private const int MostFrames = 8;

    // Colours are measured in pictures of at most this size: a 2160p frame in floating point is 100 MB, and its patches
    // still hold enough pixels at half the size. Places marked by hand are in the clip's own pixels, so those frames
    // keep their size.
    private const int MeasuredSide = 1920;
    private const int MostWholeFrames = 3;

    /// <summary>The frames, and what the user should know about their choice.</summary>
    /// <param name="Frames">At least one pair, in order of time.</param>
    /// <param name="Notes">Sentences.</param>
    /// <param name="Looks">The instants spread over the overlap that were examined; empty if instants were given by hand.</param>
    internal sealed record Result(ImmutableArray<MatchedFrames> Frames, ImmutableArray<string> Notes, IReadOnlyList<InstantCandidate> Looks)
    {
        /// <summary>Whether a chart was searched for at many instants, in smaller pictures, and not found.</summary>
        public bool ChartNotSeen { get; init; }

        /// <summary>
        /// A chart that the clips show at different instants, or that only one of them shows; null if there is none, or
        /// both show it at once.
        /// </summary>
        public ChartApart? ChartApart { get; init; }
    }

    /// <summary>
    /// Frames at the instants given by hand; otherwise of the chart, if both clips show one and the method allows it;
    /// otherwise at sharp, still, unclipped instants of every lighting state, spread over the overlap.
    /// </summary>
    /// <exception cref="UnusableInputException">A time given by hand is malformed.</exception>
    /// <exception cref="NoTrustworthyResultException">The clips do not overlap, or not at the instants given.</exception>
    internal static async Task<Result> RunAsync(SyncedClips clips, MatchRequest request, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(request);
        (ClipInfo primary, ClipInfo secondary) = (clips.Primary, clips.Secondary);
        if (clips.Sync is not { } sync)
        {
            return new Result(await GrabAsync(clips, [new Instant(0, 0, "still pictures")], cancel), [], []);
        }

        (double from, double to) = clips.Overlap();
        double[] byHand = [.. request.At.Select(text => TimeByHand(text, primary))];
        if (byHand.FirstOrDefault(t => t < from || t > to, double.NaN) is var outside && !double.IsNaN(outside))
        {
            throw new NoTrustworthyResultException(string.Create(CultureInfo.InvariantCulture,
                $"At {outside:0.###} s of camera A the two clips do not overlap: they overlap from {from:0.###} s to {to:0.###} s."));
        }

        double[] candidates = byHand.Length > 0
            ? byHand
            : await QuickInstants.ChooseAsync(clips, from, to, (int)Math.Clamp(to - from, FewestLookedAt, LookedAt), cancel);
        bool wantsChart = byHand.Length == 0 && NativeVision.Fault is null
            && (request.Method == SamplingMethod.Chart || (request.Method is null && request.Regions.IsEmpty));
        InstantCandidates looking = new(clips, wantsChart ? request.Chart : null, MeasuredSide);
        List<InstantCandidate> spread = await looking.AtAsync(candidates, chartOnly: false, cancel), chart = spread.FindAll(l => l.HasChart);
        List<InstantCandidate> atStart = [];
        if (wantsChart && chart.Count == 0 && to - from > InstantCandidates.StartSeconds)
        {
            atStart = await looking.ChartAtStartAsync(from, cancel);
            chart = atStart.FindAll(l => l.HasChart);
        }

        ChartApart? apart = wantsChart && chart.Count == 0 && await looking.ChartApartAsync([.. spread, .. atStart], from, cancel) is (var inPrimary, var inSecondary)
            ? new ChartApart(
                inPrimary?.Taken(clips, MeasuredSide, "the chart is in camera A's picture"), inSecondary?.Taken(clips, MeasuredSide, "the chart is in camera B's picture"))
            : null;

        bool hasChart = chart.Count > 0, large = IsMeasuredWhole(request) && (IsLarge(primary) || IsLarge(secondary));
        List<InstantCandidate> looks = hasChart ? chart : spread;
        FramePairChoice choice = Choose(looks, sync, hasChart ? MostChartFrames : large ? MostWholeFrames : UsualFrames, hasChart, new FramePairOptions
        {
            AtSeconds = [.. byHand],
            MaximumTimeErrorSeconds = 0.55 / Math.Max(1, Math.Min(primary.FrameRate.Value, secondary.FrameRate.Value)),
            SpacingSeconds = hasChart ? 0.1 : 0.5,
        });
        if (choice.Pairs.IsEmpty)
        {
            throw new NoTrustworthyResultException(choice.Warnings.FirstOrDefault() ?? "The clips share no moment at this offset; check the offset.");
        }

        string Why(FramePair p) => hasChart ? $"the chart is in both pictures; {p.Why}" : p.Why;
        ImmutableArray<MatchedFrames> frames = large
            ? await GrabAsync(clips, [.. choice.Pairs.Select(p => new Instant(p.Primary.Seconds, p.Secondary.Seconds, Why(p)))], cancel)
            : [.. choice.Pairs.Select(p => looks.First(l => l.Primary.Seconds == p.Primary.Seconds).Taken(clips, MeasuredSide, Why(p)))];
        return new Result(frames, choice.Warnings, byHand.Length > 0 ? [] : spread) { ChartNotSeen = wantsChart && !hasChart, ChartApart = apart };
    }

    private static FramePairChoice Choose(List<InstantCandidate> looks, SyncFound sync, int count, bool hasChart, FramePairOptions options)
    {
        // Two instants may fall on one frame of a slower secondary.
        FramePairChoice Of(int count) => FramePairChooser.Choose(
            [.. looks.Select(l => l.Primary)], [.. looks.Select(l => l.Secondary).DistinctBy(l => l.Seconds).OrderBy(l => l.Seconds)],
            sync, options with { Count = count });
        FramePairChoice choice = Of(count);
        return !hasChart && choice.LightStates > choice.Pairs.Length && choice.Pairs.Length == UsualFrames ? Of(MostFrames) : choice;
    }

    /// <summary>Takes both frames at each instant.</summary>
    public static async Task<ImmutableArray<MatchedFrames>> GrabAsync(
        SyncedClips clips, IReadOnlyList<Instant> instants, CancellationToken cancel, int maxSide = int.MaxValue)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(instants);
        Task<IReadOnlyList<GrabbedFrame>> a = clips.Reader.GrabAsync(clips.Primary, [.. instants.Select(i => i.PrimarySeconds)], maxSide, cancel);
        if (instants.Count >= Environment.ProcessorCount)
        {
            // One clip already keeps every core busy; both at once would only take twice the memory.
            await a;
        }

        Task<IReadOnlyList<GrabbedFrame>> b = clips.Reader.GrabAsync(clips.Secondary, [.. instants.Select(i => i.SecondarySeconds)], maxSide, cancel);
        IReadOnlyList<GrabbedFrame>[] frames = await Task.WhenAll(a, b);
        return [.. instants.Select((instant, i) => new MatchedFrames(
            frames[0][i].InEncoding(clips.PrimaryEncoding), frames[1][i].InEncoding(clips.SecondaryEncoding), instant.Why))];
    }

    /// <summary>An instant at which both frames are taken.</summary>
    /// <param name="PrimarySeconds">In the primary's time.</param>
    /// <param name="SecondarySeconds">In the secondary's time.</param>
    /// <param name="Why">Why it was chosen.</param>
    public sealed record Instant(double PrimarySeconds, double SecondarySeconds, string Why);

    private static bool IsMeasuredWhole(MatchRequest request) =>
        !request.Regions.IsEmpty || request.Primary.ChartCorners is not null || request.Secondary.ChartCorners is not null;

    private static bool IsLarge(ClipInfo clip) => Math.Max(clip.StoredWidth, clip.StoredHeight) > MeasuredSide;

    private static double TimeByHand(string text, ClipInfo primary) =>
        ClockTime.TryParse(text, primary.IsVariableRate ? null : primary.FrameRate.Value, out double seconds, out string? error)
            ? seconds
            : throw new UnusableInputException(error);
}
