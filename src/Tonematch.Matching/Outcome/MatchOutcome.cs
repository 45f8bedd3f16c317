using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Words;
using Tonematch.Media.Frames;
using Tonematch.Samples;
using Tonematch.Sync.Sound;

namespace Tonematch.Matching.Outcome;

/// <summary>Everything a match found, with its evidence: what the files and the report are written from.</summary>
/// <param name="Samples">The corresponding colours.</param>
/// <param name="Fit">Every kind of correction that was tried.</param>
/// <param name="Chosen">The one handed over.</param>
public sealed record MatchOutcome(SampleSet Samples, FitResult Fit, BakedCorrection Chosen)
{
    /// <summary>The clips and what was seen in them; null when the pairs were read from a file.</summary>
    public MatchedClips? Clips { get; init; }

    /// <summary>The chosen correction with the secondary's input LUT in front; null without one.</summary>
    public CorrectionWithInput? WithInput { get; init; }

    /// <summary>The table that is handed over, for the secondary's clips as they were recorded.</summary>
    public Lut3D Lut => WithInput?.Lut ?? Chosen.Lut;

    /// <summary>Which of the secondary's colours the samples speak for; null without frames.</summary>
    public ColourCoverage? Coverage { get; init; }

    /// <summary>The CDL nearest to the chosen correction with its trim; null without a trim, or where none could be fitted.</summary>
    public FittedCandidate? TrimmedCdl { get; init; }

    /// <summary>The match over the whole overlap; null for still pictures, files of pairs, or where it could not be checked.</summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>The secondary's course of exposure and white balance, which the correction expects to be taken out; null where it holds still.</summary>
    public DriftOutcome? Drift { get; init; }

    /// <summary>What the user should know, in sentences, most important first.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>The largest mean CIEDE2000 that the user accepts, or null.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Comparing the pictures as a whole was asked for, not fallen back to.</summary>
    public bool AskedForWhole { get; init; }

    /// <summary>What to do with it, and why.</summary>
    public Verdict Verdict => Verdict.Of(VerdictEvidence.Of(this));

    /// <summary>In how much of the primary's frames a channel is at the top of its range; null without frames.</summary>
    public ClippedChannels? PrimaryClipped { get; init; }

    /// <summary>The same of the secondary.</summary>
    public ClippedChannels? SecondaryClipped { get; init; }

    /// <summary>What goes with the instant and with the place in what the chosen correction leaves of lightness.</summary>
    public LightnessCauses Lightness { get; } = LightnessCauses.Of(Samples, Chosen);

    /// <summary>How the cameras differ, in the terms in which they are set, and what the chosen correction leaves.</summary>
    public CameraDifference Difference { get; } = DifferenceWords.Describe(Samples, Fit with { Advised = Chosen.Candidate });

    /// <summary>By how much exposure wanders, stops: by the course where one was found, which the check over time has taken out.</summary>
    public double WanderingStops => Math.Max(RecordingWords.WanderingStops(OverTime), Drift?.Track.RangeStops ?? 0);

    /// <summary>What to set at the next shoot, the most important first.</summary>
    public ImmutableArray<string> NextTime
    {
        get
        {
            bool exposure = Drift is { IsExposure: true } || RecordingWords.WanderingStops(OverTime) >= RecordingWords.SeenStops;
            string[] locked =
            [
                .. exposure ? [string.Create(CultureInfo.InvariantCulture, $"Exposure: by hand on both cameras; it wandered by {WanderingStops:0.0} stops.")] : (string[])[],
                .. Drift is { IsWhiteBalance: true, Track.RangeMired: var mired } ? [string.Create(CultureInfo.InvariantCulture, $"White balance: by hand on both cameras; it wandered by {mired:0} mired.")] : (string[])[],
            ];
            return [.. locked, .. Difference.OnTheCamera.Where(a => !exposure || !a.StartsWith("Exposure:", StringComparison.Ordinal))];
        }
    }

    /// <summary>The tolerance was named and is missed.</summary>
    public bool MissesTolerance => Tolerance is { } limit && Verdict.Figure.Mean > limit;
}

/// <summary>The two clips of a match, how they lie in time, and the frames that were compared.</summary>
public sealed record MatchedClips : SyncedClips
{
    /// <summary>Clips and their frames.</summary>
    /// <param name="clips">The clips.</param>
    /// <param name="frames">The frames that were compared, in order of time.</param>
    public MatchedClips(SyncedClips clips, ImmutableArray<MatchedFrames> frames)
        : base(clips) => Frames = frames;

    /// <summary>The frames that were compared, in order of time.</summary>
    public ImmutableArray<MatchedFrames> Frames { get; init; }

    /// <summary>Sound of both around a clear moment; null without sound.</summary>
    public ClearMoment? Sound { get; init; }

    /// <summary>An instant of what was filmed, without a chart in the way; null for stills and instants given by hand.</summary>
    public MatchedFrames? Performance { get; init; }

    /// <summary>The frames of that moment; null without sound.</summary>
    public MatchedFrames? AtMoment { get; init; }
}

/// <summary>Two frames of the same instant.</summary>
/// <param name="Primary">The primary's frame.</param>
/// <param name="Secondary">The secondary's frame.</param>
/// <param name="Why">Why this instant was chosen, for people.</param>
public sealed record MatchedFrames(GrabbedFrame Primary, GrabbedFrame Secondary, string Why);
