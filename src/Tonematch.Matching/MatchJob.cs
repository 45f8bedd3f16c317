using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Formats.Pairs;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Stages.Check;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Sync.Sound;

namespace Tonematch.Matching;

/// <summary>The whole job, stage by stage: probe, synchronise, pair frames, sample, fit, bake.</summary>
public static class MatchJob
{
    private const long LargestPairsFile = 100_000_000;

    private const int LookedAtSide = 960;

    private const string FittingStage = "Fitting the corrections";

    /// <summary>From two clips to a correction with its evidence. Writes nothing.</summary>
    /// <exception cref="UnusableInputException">A clip cannot be read or used, or this machine lacks the library for a search that is needed.</exception>
    /// <exception cref="NoTrustworthyResultException">Neither sync nor sampling gives a trustworthy result.</exception>
    public static async Task<MatchOutcome> MatchAsync(MatchRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        Sampled sampled = await SampleAsync(request, progress, cancel);
        return await FinishAsync(sampled, request, progress, cancel);
    }

    /// <summary>
    /// From samples to a correction with its evidence: the second half of <see cref="MatchAsync"/>, which may be run
    /// again after the user changes its inputs.
    /// </summary>
    /// <param name="sampled">The result of <see cref="SampleAsync"/> for the same clips.</param>
    /// <param name="request">The changes to the samples, the kind of correction, the trim, and where to look for common things.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">The samples do not support a fit.</exception>
    public static async Task<MatchOutcome> FinishAsync(Sampled sampled, MatchRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(sampled);
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        MatchedClips clips = sampled.Clips;
        SampleSet samples = await EditStage.RunAsync(clips, sampled.Samples, request, cancel);
        progress.Report(new(FittingStage, 0));
        FitStage.Result fit = await Task.Run(() => FitStage.Run(samples, request.Model, request.LutSize, request.Trim, cancel, new ShareOfStage(progress, FittingStage)), cancel);
        ColourCoverage? coverage = samples.Method == SamplingMethod.Overall
            ? null
            : ColourCoverage.Of(samples, [.. clips.Frames.Select(f => f.Secondary.Picture)]);
        CheckFindings? overTime = null;
        DriftStage.Result? wandering = null;
        if (clips.Sync is not null && samples.Method != SamplingMethod.Overall)
        {
            CheckStage check = CheckOf(sampled, samples, request, fit.Chosen.Lut);
            overTime = await RunAsync(check, sampled, progress, cancel);

            // A drift is removed from the clip as recorded, but here it was measured behind an input LUT.
            wandering = overTime is null || clips.Secondary.InputLut is not null ? null : await DriftStage.RunAsync(check, overTime.Result, samples, fit, request, progress, cancel);
        }

        if (wandering is not null)
        {
            (samples, fit) = (wandering.Samples, wandering.Fit);
            overTime = await RunAsync(CheckOf(sampled, samples, request, fit.Chosen.Lut, wandering.Drift.Track), sampled, progress, cancel);
        }

        CorrectionWithInput? withInput = clips.Secondary.InputLut is { } input
            ? CorrectionWithInput.Of(input, fit.Chosen.Candidate.Correction, fit.Chosen.Lut.Size)
            : null;
        return new(samples, fit.Fit, fit.Chosen)
        {
            WithInput = withInput,
            Clips = clips with { Performance = Performance(sampled.Candidates, sampled.Clips) },
            OverTime = overTime?.Result,
            Coverage = coverage,
            PrimaryClipped = ClippedChannels.Of([.. clips.Frames.Select(f => f.Primary.Picture)]),
            SecondaryClipped = ClippedChannels.Of([.. clips.Frames.Select(f => f.Secondary.Picture)]),
            TrimmedCdl = fit.TrimmedCdl,
            Tolerance = request.Tolerance,
            AskedForWhole = request.Method == SamplingMethod.Overall,
            Drift = wandering?.Drift,
            Warnings =
            [
                .. wandering is { Drift: { } drift } ? [DriftWords.Say(drift, Path.GetFileName(clips.Secondary.Path))] : (string[])[],
                .. InputWords.After(clips.Primary.InputLut?.Path, withInput),
                .. fit.TrimNote is { } trimmed ? [trimmed] : (string[])[], .. RecordingWords.Warnings(overTime?.Result, samples), .. samples.Warnings,
                .. coverage?.Warning is { } uncovered ? [uncovered] : (string[])[], .. fit.Warnings, .. fit.Fit.Warnings, .. sampled.Notes,
            ],
        };
    }

    /// <summary>The result of sampling.</summary>
    /// <param name="Clips">The clips and the frames that were compared.</param>
    /// <param name="Samples">The corresponding colours.</param>
    /// <param name="Notes">What the user should know, in sentences.</param>
    public sealed record Sampled(MatchedClips Clips, SampleSet Samples, ImmutableArray<string> Notes)
    {
        /// <summary>Instants spread over the overlap that were looked at.</summary>
        internal IReadOnlyList<InstantCandidate> Candidates { get; init; } = [];
    }

    /// <summary>From two clips to corresponding colours.</summary>
    public static async Task<Sampled> SampleAsync(
        MatchRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        VisionNeed.Require(request);
        progress.Report(new("Looking at the clips", 0));
        (ClipInfo primary, ClipInfo secondary) = await ProbeAsync(request, cancel);
        request = request.InShares(primary, secondary);
        List<string> notes = [.. InputWords.Before(request), .. Assumptions("camera A", primary, request.Primary), .. Assumptions("camera B", secondary, request.Secondary)];
        if (Path.GetFullPath(primary.Path) == Path.GetFullPath(secondary.Path))
        {
            notes.Insert(0, "Camera A and camera B are the same file: there is nothing to match.");
        }

        bool stills = primary.IsStillImage || secondary.IsStillImage;
        SyncFound? sync = null;
        ClearMoment? sound = null;
        if (!stills)
        {
            progress.Report(new("Listening to both recordings", 0));
            (sync, sound) = await SyncStage.RunAsync(primary, secondary, request, wantsMoment: true, cancel);
            notes.AddRange(sync.Warnings);
        }

        SyncedClips synced = SyncedClips.Of(primary, secondary, sync, request);

        // Now, while little else is in memory: a single frame is decoded on all cores, and each core holds its own
        // pictures.
        MatchedFrames? atMoment = sound is null ? null : await AtMomentAsync(synced, sound, cancel);
        progress.Report(new("Taking frames of the same instants", 0));
        FrameStage.Result taken = await FrameStage.RunAsync(synced, request, cancel);
        (ImmutableArray<MatchedFrames> frames, IReadOnlyList<InstantCandidate> looks, bool chartNotSeen) = (taken.Frames, taken.Looks, taken.ChartNotSeen);
        notes.AddRange(taken.Notes);
        progress.Report(new("Finding the same colours in both", 0));
        SampleSet samples;
        try
        {
            samples = await Task.Run(() => SampleStage.Run(frames, request, chartNotSeen, taken.ChartApart, cancel), cancel);
        }
        catch (NoTrustworthyResultException e) when (request.Method == SamplingMethod.Chart && !stills)
        {
            throw new NoTrustworthyResultException($"{e.Message} {await ChartScan.WhereShownAsync(primary, secondary, request.Chart, cancel)}");
        }

        samples = Looked(samples, frames, synced);
        MatchedClips clips = new(synced, [.. frames.Select(ForLooking)]) { Sound = sound, AtMoment = atMoment };
        return new Sampled(clips, samples, [.. notes]) { Candidates = looks };
    }

    // Only a recording assumed to be ordinary video can turn out to look like log; a camera with an input LUT is not
    // examined.
    private static SampleSet Looked(SampleSet samples, ImmutableArray<MatchedFrames> frames, SyncedClips clips)
    {
        samples = samples with { IsBehindInput = clips.Primary.InputLut is not null || clips.Secondary.InputLut is not null };
        if (new[] { samples.PrimaryEncoding, samples.SecondaryEncoding }.Any(e => e.IsHdr || e.IsLog))
        {
            return samples;
        }

        RecordedTones a = RecordedTones.Of([.. frames.Select(f => f.Primary.Picture)]), b = RecordedTones.Of([.. frames.Select(f => f.Secondary.Picture)]);
        bool inA = clips.Primary.InputLut is null && LogLook.Is(a, b, LogLook.Bow(samples, ofSecondary: false));
        bool inB = clips.Secondary.InputLut is null && LogLook.Is(b, a, LogLook.Bow(samples, ofSecondary: true));
        return samples with
        {
            PrimaryLooksLog = inA,
            SecondaryLooksLog = inB,
            Warnings = [.. inA ? [LogWords.Say("Camera A", "primary", a)] : (string[])[], .. inB ? [LogWords.Say("Camera B", "secondary", b)] : (string[])[], .. samples.Warnings],
        };
    }

    /// <summary>From a file of pairs to a correction.</summary>
    public static Task<MatchOutcome> FitAsync(FitRequest request, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ArgumentNullException.ThrowIfNull(progress);
        return Task.Run(
            () =>
            {
                progress.Report(new("Reading the pairs", 0));
                using StringReader text = new(TextInput.Read(request.PairsPath, "pairs", LargestPairsFile));
                SampleSet samples = PairsCsv.Read(text, request.PairsPath, request.PrimaryEncoding, request.SecondaryEncoding);
                progress.Report(new(FittingStage, 0));
                FitStage.Result fit = FitStage.Run(samples, request.Model, request.LutSize, Trim.None, cancel, new ShareOfStage(progress, FittingStage));
                string[] assumed = request.EncodingWasAssumed
                    ? ["No encoding was given, so bt709 was assumed; use --encoding if that is wrong."]
                    : [];
                return new MatchOutcome(samples, fit.Fit, fit.Chosen)
                {
                    Tolerance = request.Tolerance,
                    Warnings = [.. samples.Warnings, .. fit.Warnings, .. fit.Fit.Warnings, .. assumed],
                };
            },
            cancel);
    }

    // The middle instant at which no chart hides the subject.
    private static MatchedFrames? Performance(IReadOnlyList<InstantCandidate> candidates, SyncedClips clips) =>
        candidates.Where(c => !c.HasChart).ToArray() is { Length: > 0 } free ? free[free.Length / 2].Taken(clips, LookedAtSide, "in the middle of the recording") : null;

    /// <summary>The properties of both clips, with their input LUTs.</summary>
    public static async Task<(ClipInfo Primary, ClipInfo Secondary)> ProbeAsync(MatchRequest request, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(request);
        ClipInfo[] clips = await Task.WhenAll(request.Reader.ProbeAsync(request.Primary.Path, cancel), request.Reader.ProbeAsync(request.Secondary.Path, cancel));
        return (Through(clips[0], request.Primary), Through(clips[1], request.Secondary));
    }

    private static ClipInfo Through(ClipInfo clip, ClipRequest asked) => asked.Input is null
        ? clip
        : clip with { InputLut = asked.Input, Encoding = asked.Encoding ?? SignalEncoding.Bt709 };

    // The steps after sampling only look at the frames: a quarter of the pixels of 1080p is enough and takes a quarter
    // of the memory.
    private static MatchedFrames ForLooking(MatchedFrames frames) => frames with
    {
        Primary = frames.Primary with { Picture = PictureScale.ToSmall(frames.Primary.Picture, LookedAtSide) },
        Secondary = frames.Secondary with { Picture = PictureScale.ToSmall(frames.Secondary.Picture, LookedAtSide) },
    };

    // Enough for the report to show whether the match holds; the check command looks more closely.
    private static CheckStage CheckOf(Sampled sampled, SampleSet samples, MatchRequest request, Lut3D lut, DriftTrack? course = null) =>
        new(sampled.Clips, request.InShares(sampled.Clips.Primary, sampled.Clips.Secondary) with { Method = null, At = [] }, code => LutInterpolation.Tetrahedral(lut, code),
            request.Tolerance ?? MatchCheck.UsualTolerance, KnownPlaces.Of(sampled.Clips.Frames, samples))
        {
            Course = course,
        };

    private static Task<CheckFindings?> RunAsync(CheckStage check, Sampled sampled, IProgress<StageProgress> progress, CancellationToken cancel) =>
        sampled.Candidates.Count > 0
            ? check.RunAsync(sampled.Candidates, progress, cancel)
            : check.RunAsync(everyFrame: false, progress, cancel);

    private static async Task<MatchedFrames> AtMomentAsync(SyncedClips clips, ClearMoment sound, CancellationToken cancel)
    {
        (double from, double to) = clips.Overlap();
        double moment = Math.Clamp(sound.MomentSeconds, from, to);
        return (await FrameStage.GrabAsync(
            clips, [new(moment, clips.NearestFrameAt(moment), "a clear moment in both sounds")], cancel, maxSide: 640))[0];
    }

    private static IEnumerable<string> Assumptions(string whose, ClipInfo clip, ClipRequest asked) => asked is { Encoding: null, Input: null }
        ? clip.Assumptions.Select(a => $"Of {whose}: {a}")
        : [];
}
