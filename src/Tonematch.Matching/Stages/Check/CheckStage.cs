using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Frames;
using Tonematch.Media.Reading;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages.Check;

/// <summary>Compares two clips over their whole overlap: at instants spread over it, or at every frame.</summary>
/// <param name="clips">The clips.</param>
/// <param name="request">Where to find corresponding colours; marks are in shares of the pictures.</param>
/// <param name="correct">Maps secondary code values to corrected ones; null leaves them as recorded.</param>
/// <param name="tolerance">The mean CIEDE2000 that passes.</param>
/// <param name="known">What the cameras are known to see in common; receives what is found besides.</param>
internal sealed class CheckStage(SyncedClips clips, MatchRequest request, Func<CodeRgb, CodeRgb>? correct, double tolerance, KnownPlaces known)
{
    /// <summary>Longest side of the pictures at single instants, pixels.</summary>
    public const int LargestSide = 960;

    /// <summary>
    /// Size for the check of every frame: decoding dominates the cost, and patches still hold tens of pixels.
    /// </summary>
    public const int EveryFrameSide = 480;

    /// <summary>
    /// This many places give a frame's mean to within 0.1 Delta E when single places scatter by 1.5, and cost less than
    /// decoding.
    /// </summary>
    public const int EveryFramePlaces = 250;

    // A few instants per minute find every lasting step; more only cost time, and the check of every frame misses none.
    private const double SecondsBetween = 30;
    private const int UsualFewest = 12;
    private const int MostInstants = 120;

    // More instants than this do not improve the drift measurement.
    private const int MostFollowed = 3000;

    // Progress is told after so many frames.
    private const int FramesAReport = 100;

    // Fewer places than this do not count as something seen in common.
    private const int FewestFollowed = 12;

    private readonly Func<CodeRgb, CodeRgb> _correct = correct ?? new IdentityCorrection(clips.SecondaryEncoding, clips.PrimaryEncoding).Apply;
    private readonly CommonColours _colours = new(request, known);
    private readonly List<MatchedFrames> _withoutCommon = [];
    private readonly List<DriftInstant> _followed = [];

    /// <summary>The secondary's drift, removed before the correction; null for none.</summary>
    public DriftTrack? Course { get; init; }

    /// <summary>At least this many instants are looked at, however short the overlap.</summary>
    public int FewestInstants { get; init; } = UsualFewest;

    /// <summary>Keeps the colours followed from instant to instant, so that drift can be measured from them.</summary>
    public bool KeepsFollowed { get; init; }

    /// <summary>Compares at instants spread over the overlap, or at every frame.</summary>
    /// <param name="everyFrame">Every frame of the primary instead of a few instants per minute.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Null when no instant shows corresponding colours.</returns>
    public async Task<CheckFindings?> RunAsync(bool everyFrame, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        everyFrame &= clips.Sync is not null;
        if (!everyFrame || _colours.Follows)
        {
            // A few instants first: they show where to look, and whether there is anything in common.
            FrameStage.Instant[] instants = await InstantsAsync(everyFrame ? UsualFewest : MostInstants, cancel);
            CheckFindings? few = await RunAsync(
                FrameBatches.TakeAsync(clips, instants, LargestSide, cancel), instants.Length, everyFrame, progress, cancel);
            if (!everyFrame || few is null or { Method: SamplingMethod.Overall })
            {
                return few;
            }
        }

        CheckedSeries series = new(clips.PrimaryEncoding);
        return Summed(series, await EveryFrameAsync(series, progress, cancel), everyFrame: true);
    }

    /// <summary>Compares at instants whose frames are already decoded.</summary>
    /// <param name="candidates">The instants, in order of time.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Null when no instant shows corresponding colours.</returns>
    public Task<CheckFindings?> RunAsync(IReadOnlyList<InstantCandidate> candidates, IProgress<StageProgress> progress, CancellationToken cancel) =>
        RunAsync(FrameBatches.OfAsync(clips, candidates, LargestSide, cancel), candidates.Count, forEveryFrame: false, progress, cancel);

    /// <summary>
    /// Follows everything found in common through every frame of both clips, at 3000 instants at most.
    /// </summary>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public async Task<IReadOnlyList<DriftInstant>> FollowAsync(IProgress<StageProgress> progress, CancellationToken cancel)
    {
        (double from, double to) = clips.Overlap();
        int looked = 0;
        _followed.Clear();
        await foreach (FramesTogether together in FramesTogether.ReadAsync(clips.Reader, clips.Primary, clips.Secondary, clips.Sync!, from, to, EveryFrameSide, cancel))
        {
            KeepFollowed(Frames(together), (to - from) / MostFollowed);
            if (looked++ % FramesAReport == 0)
            {
                progress.Report(new("Following exposure and white balance", Math.Clamp((together.Primary.Seconds - from) / (to - from), 0, 1)));
            }
        }

        return [.. _followed];
    }

    // Several frames of a faster primary share one frame of the secondary: the first counts. After it, none for the
    // given seconds.
    private void KeepFollowed(MatchedFrames frames, double gap = 0)
    {
        double seconds = frames.Secondary.Seconds;
        if (_followed.Count > 0 && (seconds <= _followed[^1].Seconds || seconds < _followed[^1].Seconds + gap))
        {
            return;
        }

        FollowedColour[] colours = known.Everywhere(frames);
        if (colours.Length >= FewestFollowed)
        {
            _followed.Add(new DriftInstant(seconds, [.. colours.Select(c => new DriftSample(c.Place, c.Primary, c.Secondary))]));
        }
    }

    private async Task<CheckFindings?> RunAsync(
        IAsyncEnumerable<ImmutableArray<MatchedFrames>> batches, int count, bool forEveryFrame, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        const string comparing = "Comparing the clips over time";
        CheckedSeries series = new(clips.PrimaryEncoding);
        int looked = 0;
        _followed.Clear();
        progress.Report(new(comparing, 0));
        await foreach (ImmutableArray<MatchedFrames> frames in batches.WithCancellation(cancel))
        {
            FollowedColour[][] colours = await _colours.InAsync(frames, looked, count, forEveryFrame, cancel);
            foreach ((MatchedFrames at, FollowedColour[] found) in frames.Zip(colours))
            {
                if (found.Length > 0)
                {
                    series.Add(Checked(at, found));
                    if (KeepsFollowed)
                    {
                        KeepFollowed(at);
                    }
                }
                else if (_withoutCommon.Count < UsualFewest)
                {
                    _withoutCommon.Add(at);
                }
            }

            looked += frames.Length;
            progress.Report(new(comparing, (double)looked / count));
        }

        return Summed(series, count, everyFrame: false);
    }

    private async Task<int> EveryFrameAsync(CheckedSeries series, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        (double from, double to) = clips.Overlap();
        int looked = 0;
        _followed.Clear();
        await foreach (FramesTogether together in FramesTogether.ReadAsync(clips.Reader, clips.Primary, clips.Secondary, clips.Sync!, from, to, EveryFrameSide, cancel))
        {
            MatchedFrames frames = Frames(together);
            FollowedColour[] colours = _colours.InNext(frames, cancel);
            if (colours.Length > 0)
            {
                series.Add(Checked(frames, colours));
            }

            if (KeepsFollowed)
            {
                KeepFollowed(frames, (to - from) / MostFollowed);
            }

            if (looked++ % FramesAReport == 0)
            {
                progress.Report(new("Comparing every frame", (frames.Primary.Seconds - from) / (to - from)));
            }
        }

        return looked;
    }

    private CheckFindings? Summed(CheckedSeries series, int looked, bool everyFrame)
    {
        List<string> warnings = [];
        if (series.Count == 0 && request.Method is null && request.Regions.IsEmpty)
        {
            // Nothing in common at any instant: compare the pictures as a whole at each instant.
            warnings.Add(OverallSampler.LowConfidence);
            foreach (MatchedFrames f in _withoutCommon)
            {
                if (_colours.Overall(f) is { Length: > 0 } whole)
                {
                    series.Add(Checked(f, whole));
                }
            }
        }

        if (series.Count == 0 || _colours.Method is not { } method)
        {
            return null;
        }

        if (series.Count < looked && method != SamplingMethod.Overall)
        {
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"At {looked - series.Count} of {looked} {(everyFrame ? "frames" : "instants")} nothing was found that both cameras saw; those are not in the figures."));
        }

        return new CheckFindings(method, series.Evaluate(tolerance), looked, everyFrame, [.. warnings]) { Followed = [.. _followed] };
    }

    private async Task<FrameStage.Instant[]> InstantsAsync(int most, CancellationToken cancel)
    {
        if (clips.Sync is null)
        {
            return [new(0, 0, "")];
        }

        (double from, double to) = clips.Overlap();
        int count = (int)Math.Clamp((to - from) / SecondsBetween, FewestInstants, most);
        double[] times = await QuickInstants.ChooseAsync(clips, from, to, count, cancel);
        return [.. times.Select(t => new FrameStage.Instant(t, clips.NearestFrameAt(t), ""))];
    }

    private MatchedFrames Frames(FramesTogether together) => new(
        new GrabbedFrame(together.Primary.Picture, together.Primary.Seconds).InEncoding(clips.PrimaryEncoding),
        new GrabbedFrame(together.Secondary.Picture, together.Secondary.Seconds).InEncoding(clips.SecondaryEncoding), "");

    private CheckedInstant Checked(MatchedFrames frames, IEnumerable<FollowedColour> colours) => new(
        frames.Primary.Seconds, frames.Secondary.Seconds,
        [.. colours.Select(c => new CheckedColour(c.Primary.Clamped(), _correct(Still(frames.Secondary.Seconds, c.Secondary)).Clamped(), c.Weight))]);

    // The colour as it would be without drift.
    private CodeRgb Still(double seconds, CodeRgb code) => Course is null ? code : Course.At(seconds).TakeOutOf(code, clips.SecondaryEncoding);
}
