using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Reading;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Where the check over time shows that the secondary wanders, follows the places of the samples through both clips,
/// measures the course and fits the correction anew to colours without it.
/// </summary>
public static class DriftStage
{
    // What the few instants of a match must spread by before the clips are read once more, stops.
    private const double WorthLooking = 0.12;

    private const int Side = 480;
    private const int MostInstants = 3000;
    private const int PlacesPerFind = 80;
    private const int FewestPlaces = 12;

    /// <summary>The outcome, fitted anew and with the course, where there is one; else as it was.</summary>
    /// <param name="outcome">What a match found.</param>
    /// <param name="request">The kind of correction, the size of its LUT, and what is changed by hand after it.</param>
    /// <param name="progress">Told what is being done.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<MatchOutcome> RunAsync(
        MatchOutcome outcome, MatchRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        if (outcome.Clips is not { Sync: { } sync } clips || outcome.OverTime is not { } check || !MayWander(check))
        {
            return outcome;
        }

        IReadOnlyList<DriftInstant> instants = await FollowAsync(clips, sync, outcome.Samples, progress, cancel);
        (SignalEncoding primary, SignalEncoding secondary) = (outcome.Samples.PrimaryEncoding, outcome.Samples.SecondaryEncoding);
        return await Task.Run(
            () =>
            {
                progress.Report(new("Measuring exposure and white balance over time", 0));

                // Measured without what is changed by hand: that is no difference between the cameras.
                FitStage.Result Fitted(SampleSet samples) => FitStage.Run(samples, request.Model, request.LutSize, Trim.None, cancel);
                Lut3D constant = request.Trim.IsNone
                    ? outcome.Chosen.Lut
                    : FitStage.Choose(outcome.Fit, outcome.Samples, request.Model, request.LutSize, Trim.None, cancel).Chosen.Lut;
                DriftMeasurement first = DriftMeter.Measure(instants, primary, secondary, c => LutInterpolation.Tetrahedral(constant, c));
                if (first.Track is not { } rough)
                {
                    return outcome;
                }

                // Once more, with a correction that was not fitted to the wandering.
                FitStage.Result fit = Fitted(Without(outcome.Samples, rough));
                DriftMeasurement second = DriftMeter.Measure(instants, primary, secondary, c => LutInterpolation.Tetrahedral(fit.Chosen.Lut, c));
                DriftTrack track = second.Track ?? rough;
                SampleSet samples = Without(outcome.Samples, track);
                fit = Fitted(samples);
                double before = Mean(instants, primary, secondary, constant, null), after = Mean(instants, primary, secondary, fit.Chosen.Lut, track);

                // A course that gains nothing on what was followed is none.
                if (after > 0.97 * before)
                {
                    return outcome;
                }

                FitStage.Result chosen = FitStage.Choose(fit.Fit, samples, request.Model, request.LutSize, request.Trim, cancel);
                return new MatchOutcome(samples, chosen.Fit, chosen.Chosen)
                {
                    Clips = outcome.Clips,
                    Coverage = outcome.Coverage,
                    OverTime = outcome.OverTime,
                    TrimmedCdl = chosen.TrimmedCdl,
                    Tolerance = outcome.Tolerance,
                    Warnings = outcome.Warnings,
                    Drift = new DriftOutcome(track, before, after, second.HeldOutShare),
                };
            },
            cancel);
    }

    private static bool MayWander(CheckResult check) =>
        Spread(check, i => i.ExposureStops) > WorthLooking || Spread(check, i => i.RedGreenStops - i.BlueGreenStops) > WorthLooking;

    private static double Spread(CheckResult check, Func<InstantFigures, double> of) => check.OverTime.Max(of) - check.OverTime.Min(of);

    private static SampleSet Without(SampleSet samples, DriftTrack track) => samples with
    {
        Pairs = [.. samples.Pairs.Select(p => p.Origin is { } origin ? p with { Secondary = track.At(origin.SecondarySeconds).TakeOutOf(p.Secondary, samples.SecondaryEncoding) } : p)],
    };

    private static double Mean(IReadOnlyList<DriftInstant> instants, SignalEncoding primary, SignalEncoding secondary, Lut3D lut, DriftTrack? track)
    {
        double sum = 0;
        int count = 0;
        foreach (DriftInstant instant in instants)
        {
            foreach (DriftSample s in instant.Samples)
            {
                CodeRgb own = track is null ? s.Secondary : track.At(instant.Seconds).TakeOutOf(s.Secondary, secondary);
                sum += DeltaE2000.Between(primary.ToLab(s.Primary.Clamped()), primary.ToLab(LutInterpolation.Tetrahedral(lut, own).Clamped()));
                count++;
            }
        }

        return count > 0 ? sum / count : 0;
    }

    private static async Task<IReadOnlyList<DriftInstant>> FollowAsync(
        MatchedClips clips, SyncFound sync, SampleSet samples, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        List<FollowedPlaces> finds = [];
        foreach (MatchedFrames frames in clips.Frames)
        {
            FollowedPlaces places = FollowedPlaces.InSmall(
                frames.Primary.Picture, frames.Secondary.Picture,
                samples.Pairs.Where(p => p.Origin?.PrimarySeconds == frames.Primary.Seconds), Side, PlacesPerFind);
            if (places.Count > 0)
            {
                finds.Add(places);
            }
        }

        (double from, double to) = clips.Overlap();
        double gap = (to - from) / MostInstants, last = double.NegativeInfinity, lastOwn = double.NegativeInfinity;
        List<DriftInstant> instants = [];
        await foreach (FramesTogether together in FramesTogether.ReadAsync(clips.Reader, clips.Primary, clips.Secondary, sync, from, to, Side, cancel))
        {
            // Several frames of a faster primary share one of the secondary.
            if (together.Primary.Seconds - last < gap || together.Secondary.Seconds <= lastOwn)
            {
                continue;
            }

            (last, lastOwn) = (together.Primary.Seconds, together.Secondary.Seconds);
            ImmutableArray<DriftSample>.Builder seen = ImmutableArray.CreateBuilder<DriftSample>();
            for (int k = 0; k < finds.Count; k++)
            {
                if (finds[k].Fits(together.Primary.Picture, together.Secondary.Picture))
                {
                    seen.AddRange(finds[k].At(together.Primary.Picture, together.Secondary.Picture)
                        .Select(c => new DriftSample((k * PlacesPerFind) + c.Place, c.Primary, c.Secondary)));
                }
            }

            if (seen.Count >= FewestPlaces)
            {
                instants.Add(new DriftInstant(together.Secondary.Seconds, seen.ToImmutable()));
            }

            progress.Report(new("Following exposure and white balance", Math.Clamp((together.Primary.Seconds - from) / (to - from), 0, 1)));
        }

        return instants;
    }
}
