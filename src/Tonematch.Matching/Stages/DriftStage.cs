using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages.Check;
using Tonematch.Samples;
using Tonematch.States;

namespace Tonematch.Matching.Stages;

/// <summary>
/// If the check over time shows that the secondary drifts, follows what both cameras saw through both clips, measures
/// the drift, and fits the correction again to colours without it.
/// </summary>
internal static class DriftStage
{
    /// <summary>A drift, and the fit to colours without it.</summary>
    /// <param name="Samples">The secondary's colours as they would be without drift.</param>
    /// <param name="Fit">The fit to these samples.</param>
    /// <param name="Drift">The drift and what following it gains.</param>
    public sealed record Result(SampleSet Samples, FitStage.Result Fit, DriftOutcome Drift);

    /// <summary>
    /// Measures the drift in both clips; null if the secondary is steady, or if following the drift would gain nothing.
    /// </summary>
    /// <param name="check">The check over time with the constant correction; it knows which places can be followed.</param>
    /// <param name="overTime">What that check found.</param>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="constant">What was fitted to them.</param>
    /// <param name="request">The kind of correction, the size of its LUT, and the trim.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<Result?> RunAsync(
        CheckStage check, CheckResult overTime, SampleSet samples, FitStage.Result constant, MatchRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        if (!overTime.MayWander)
        {
            return null;
        }

        IReadOnlyList<DriftInstant> instants = await check.FollowAsync(progress, cancel);
        progress.Report(new("Measuring exposure and white balance over time", 0));
        return await Task.Run(() => Measured(instants, samples, constant, request, cancel), cancel);
    }

    /// <summary>
    /// The drift relative to a given correction, which stays unchanged; null if the secondary is steady.
    /// </summary>
    /// <param name="instants">The colours followed, the secondary as recorded.</param>
    /// <param name="clips">The clips, for the meaning of the code values.</param>
    /// <param name="correct">The correction.</param>
    public static DriftOutcome? Against(IReadOnlyList<DriftInstant> instants, SyncedClips clips, Func<CodeRgb, CodeRgb> correct)
    {
        DriftMeasurement found = DriftMeter.Measure(instants, clips.PrimaryEncoding, clips.SecondaryEncoding, correct);
        return CourseOf(found, instants, clips.PrimaryEncoding, clips.SecondaryEncoding) is { } track
            && DriftGain.Of(instants, clips.PrimaryEncoding, clips.SecondaryEncoding, correct, correct, track) is { IsWorthFollowing: true } gain
            ? new DriftOutcome(track, gain, found.HeldOutShare)
            : null;
    }

    /// <summary>
    /// The drift of another clip of a camera that drifts, relative to a correction made on one of its clips: its own
    /// course, and the level from which it starts, which is another in each clip. Null if it is steady at the same level.
    /// </summary>
    /// <param name="instants">The colours followed, the secondary as recorded.</param>
    /// <param name="clips">The clips, for the meaning of the code values.</param>
    /// <param name="correct">The correction.</param>
    public static DriftOutcome? OfAnotherClip(IReadOnlyList<DriftInstant> instants, SyncedClips clips, Func<CodeRgb, CodeRgb> correct)
    {
        if (instants.Count == 0)
        {
            return null;
        }

        (SignalEncoding primary, SignalEncoding secondary) = (clips.PrimaryEncoding, clips.SecondaryEncoding);
        DriftMeasurement found = DriftMeter.Measure(instants, primary, secondary, correct);
        DriftTrack? course = CourseOf(found, instants, primary, secondary);
        DriftValue level = DriftMeter.Level(instants, primary, secondary, correct, course);
        if (course is null && !DriftMeter.IsVisible(level))
        {
            return null;
        }

        DriftTrack raised = (course ?? new DriftTrack([new DriftPoint(instants[0].Seconds, DriftValue.None)])).Raised(level);
        DriftGain gain = DriftGain.Of(instants, primary, secondary, correct, correct, raised);
        return gain.IsWorthFollowing ? new DriftOutcome(raised, gain, found.HeldOutShare) : null;
    }

    // The camera's own drift; null if there is none, or if it is really a change of the light.
    private static DriftTrack? CourseOf(DriftMeasurement found, IReadOnlyList<DriftInstant> instants, SignalEncoding primary, SignalEncoding secondary) =>
        found.Track is { } track && !LightStates.Explain(found.Measured, instants, primary, secondary) ? track : null;

    private static Result? Measured(
        IReadOnlyList<DriftInstant> instants, SampleSet samples, FitStage.Result constant, MatchRequest request, CancellationToken cancel)
    {
        (SignalEncoding primary, SignalEncoding secondary) = (samples.PrimaryEncoding, samples.SecondaryEncoding);

        // Measured without the trim, which is no difference between the cameras.
        FitStage.Result Fitted(SampleSet to) => FitStage.Run(to, request.Model, request.LutSize, Trim.None, cancel);
        static Func<CodeRgb, CodeRgb> Through(FitStage.Result fit) => c => LutInterpolation.Tetrahedral(fit.Chosen.Lut, c);
        FitStage.Result plain = request.Trim.IsNone ? constant : FitStage.Choose(constant.Fit, samples, request.Model, request.LutSize, Trim.None, cancel);
        DriftMeasurement first = DriftMeter.Measure(instants, primary, secondary, Through(plain));
        if (CourseOf(first, instants, primary, secondary) is not { } rough)
        {
            return null;
        }

        // Once more, with a correction that was not fitted to drifting colours.
        DriftMeasurement second = DriftMeter.Measure(instants, primary, secondary, Through(Fitted(Without(samples, rough))));
        DriftTrack track = second.Track ?? rough;
        SampleSet still = Without(samples, track);
        FitStage.Result fit = Fitted(still);
        DriftGain gain = DriftGain.Of(instants, primary, secondary, Through(plain), Through(fit), track);
        return gain.IsWorthFollowing
            ? new Result(still, FitStage.Choose(fit.Fit, still, request.Model, request.LutSize, request.Trim, cancel), new DriftOutcome(track, gain, second.HeldOutShare))
            : null;
    }

    private static SampleSet Without(SampleSet samples, DriftTrack track) => samples with
    {
        Pairs = [.. samples.Pairs.Select(p => p.Origin is { } origin ? p with { Secondary = track.At(origin.SecondarySeconds).TakeOutOf(p.Secondary, samples.SecondaryEncoding) } : p)],
    };
}
