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
/// Where the check over time shows that the secondary wanders, follows what both cameras saw through both clips, measures
/// the course and fits the correction anew to colours without it.
/// </summary>
internal static class DriftStage
{
    /// <summary>A course, and what was fitted to colours without it.</summary>
    /// <param name="Samples">The secondary's colours as they would be, had it not wandered.</param>
    /// <param name="Fit">What was fitted to them.</param>
    /// <param name="Drift">The course and what following it gains.</param>
    public sealed record Result(SampleSet Samples, FitStage.Result Fit, DriftOutcome Drift);

    /// <summary>Measures in both clips; null where the secondary holds still, or where following it would gain nothing.</summary>
    /// <param name="check">The check over time with the constant correction, which knows what can be followed.</param>
    /// <param name="overTime">What it found.</param>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="constant">What was fitted to them.</param>
    /// <param name="request">The kind of correction, the size of its LUT, and what is changed by hand after it.</param>
    /// <param name="progress">Told what is being done.</param>
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

    /// <summary>The course against a correction that is given, which stays as it is; null where the secondary holds still.</summary>
    /// <param name="instants">What was followed, the secondary as recorded.</param>
    /// <param name="clips">Say what the code values mean.</param>
    /// <param name="correct">The correction.</param>
    public static DriftOutcome? Against(IReadOnlyList<DriftInstant> instants, SyncedClips clips, Func<CodeRgb, CodeRgb> correct)
    {
        DriftMeasurement found = DriftMeter.Measure(instants, clips.PrimaryEncoding, clips.SecondaryEncoding, correct);
        return found.Track is { } track && !LightStates.Explain(found.Measured, instants, clips.PrimaryEncoding, clips.SecondaryEncoding)
            && DriftGain.Of(instants, clips.PrimaryEncoding, clips.SecondaryEncoding, correct, correct, track) is { IsWorthFollowing: true } gain
            ? new DriftOutcome(track, gain, found.HeldOutShare)
            : null;
    }

    private static Result? Measured(
        IReadOnlyList<DriftInstant> instants, SampleSet samples, FitStage.Result constant, MatchRequest request, CancellationToken cancel)
    {
        (SignalEncoding primary, SignalEncoding secondary) = (samples.PrimaryEncoding, samples.SecondaryEncoding);

        // Measured without what is changed by hand: that is no difference between the cameras.
        FitStage.Result Fitted(SampleSet to) => FitStage.Run(to, request.Model, request.LutSize, Trim.None, cancel);
        static Func<CodeRgb, CodeRgb> Through(FitStage.Result fit) => c => LutInterpolation.Tetrahedral(fit.Chosen.Lut, c);
        FitStage.Result plain = request.Trim.IsNone ? constant : FitStage.Choose(constant.Fit, samples, request.Model, request.LutSize, Trim.None, cancel);
        DriftMeasurement first = DriftMeter.Measure(instants, primary, secondary, Through(plain));
        if (first.Track is not { } rough || LightStates.Explain(first.Measured, instants, primary, secondary))
        {
            return null;
        }

        // Once more, with a correction that was not fitted to the wandering.
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
