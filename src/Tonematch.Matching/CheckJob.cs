using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Stages.Check;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Sync;

namespace Tonematch.Matching;

/// <summary>Checks a match over the whole overlap of two clips, with the same sampler at many instants.</summary>
public static class CheckJob
{
    /// <summary>Compares the clips; the secondary passes through the correction first if one is given.</summary>
    /// <param name="request">The clips and where to find corresponding colours.</param>
    /// <param name="correct">Applied to the secondary first; null compares the clips as recorded.</param>
    /// <param name="tolerance">The mean CIEDE2000 that passes.</param>
    /// <param name="everyFrame">Looks at every frame of the primary, not only at a few instants per minute.</param>
    /// <param name="course">The secondary's drift of exposure and white balance, removed before the correction; null for none.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">No instant shows corresponding colours.</exception>
    public static async Task<CheckOutcome> RunAsync(
        MatchRequest request, Func<CodeRgb, CodeRgb>? correct, double tolerance, bool everyFrame, DriftTrack? course, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        VisionNeed.Require(request);
        progress.Report(new("Looking at the clips", 0));
        (ClipInfo primary, ClipInfo secondary) = await MatchJob.ProbeAsync(request, cancel);
        SyncFound? sync = null;
        if (!primary.IsStillImage && !secondary.IsStillImage)
        {
            progress.Report(new("Listening to both recordings", 0));
            sync = (await SyncStage.RunAsync(primary, secondary, request, wantsMoment: false, cancel)).Found;
        }

        SyncedClips clips = SyncedClips.Of(primary, secondary, sync, request);
        CheckStage check = new(clips, request.InShares(primary, secondary), correct, tolerance, new KnownPlaces()) { Course = course, KeepsFollowed = correct is not null && course is null };
        CheckFindings over = await check.RunAsync(everyFrame, progress, cancel)
            ?? throw new NoTrustworthyResultException("The clips could not be compared at any of the instants examined: nothing was found that both cameras saw.");

        // Without a correction the cameras' tone curves differ, and a change of light that both saw would count as
        // drift.
        DriftOutcome? drift = correct is not null && course is null && secondary.InputLut is null && over.Result.MayWander
            ? await Task.Run(() => DriftStage.Against(over.Followed, clips, correct), cancel)
            : null;
        string[] wanders = drift is null ? [] : [DriftWords.Say(drift, Path.GetFileName(secondary.Path))];
        return new CheckOutcome(primary, secondary, sync, over.Method, over.Result, over.LookedAt, [.. wanders, .. InputWords.Before(request), .. over.Warnings, .. sync?.Warnings ?? []])
        {
            EveryFrame = over.EveryFrame,
            Drift = drift,
        };
    }
}
