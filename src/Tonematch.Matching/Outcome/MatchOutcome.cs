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

/// <summary>Everything a match found, with its evidence: the files and the report are written from it.</summary>
/// <param name="Samples">The corresponding colours.</param>
/// <param name="Fit">Every kind of correction that was tried.</param>
/// <param name="Chosen">The one that is delivered.</param>
public sealed record MatchOutcome(SampleSet Samples, FitResult Fit, BakedCorrection Chosen)
{
    /// <summary>The clips and the frames compared; null when the pairs were read from a file.</summary>
    public MatchedClips? Clips { get; init; }

    /// <summary>The chosen correction preceded by the secondary's input LUT; null without one.</summary>
    public CorrectionWithInput? WithInput { get; init; }

    /// <summary>The delivered table, for the secondary's clips as recorded.</summary>
    public Lut3D Lut => WithInput?.Lut ?? Chosen.Lut;

    /// <summary>How much of the secondary's colours the samples cover; null without frames.</summary>
    public ColourCoverage? Coverage { get; init; }

    /// <summary>
    /// The CDL nearest to the chosen correction with its trim; null without a trim, or if none could be fitted.
    /// </summary>
    public FittedCandidate? TrimmedCdl { get; init; }

    /// <summary>
    /// The match over the whole overlap; null for still pictures and files of pairs, or if it could not be checked.
    /// </summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>
    /// The secondary's drift of exposure and white balance, which must be removed before the correction; null if it is
    /// steady.
    /// </summary>
    public DriftOutcome? Drift { get; init; }

    /// <summary>What the user should know, in sentences, most important first.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>The largest mean CIEDE2000 that the user accepts, or null.</summary>
    public double? Tolerance { get; init; }

    /// <summary>
    /// Whether the user asked for whole pictures to be compared, rather than the program falling back to it.
    /// </summary>
    public bool AskedForWhole { get; init; }

    /// <summary>What to do with the match, and why.</summary>
    public Verdict Verdict => Verdict.Of(VerdictEvidence.Of(this));

    /// <summary>
    /// The share of the primary's frames in which a channel is at the top of its range; null without frames.
    /// </summary>
    public ClippedChannels? PrimaryClipped { get; init; }

    /// <summary>The same for the secondary.</summary>
    public ClippedChannels? SecondaryClipped { get; init; }

    /// <summary>
    /// How much of the remaining lightness error depends on the instant and on the place in the picture.
    /// </summary>
    public LightnessCauses Lightness { get; } = LightnessCauses.Of(Samples, Chosen);

    /// <summary>How the cameras differ, in terms of their settings, and what the chosen correction leaves.</summary>
    public CameraDifference Difference { get; } = DifferenceWords.Describe(Samples, Fit with { Advised = Chosen.Candidate });

    /// <summary>
    /// Range of the exposure drift, stops; taken from the measured drift where there is one, since the check over time
    /// has removed it.
    /// </summary>
    public double WanderingStops => Math.Max(RecordingWords.WanderingStops(OverTime), Drift?.Track.RangeStops ?? 0);

    /// <summary>What to set at the next shoot, most important first.</summary>
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

    /// <summary>Whether a tolerance was given and is exceeded.</summary>
    public bool MissesTolerance => Tolerance is { } limit && Verdict.Figure.Mean > limit;
}

/// <summary>The two clips of a match, their alignment in time, and the frames that were compared.</summary>
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

    /// <summary>
    /// An instant at which no chart hides the subject; null for stills and for instants given by hand.
    /// </summary>
    public MatchedFrames? Performance { get; init; }

    /// <summary>The frames of that moment; null without sound.</summary>
    public MatchedFrames? AtMoment { get; init; }
}

/// <summary>Two frames of the same instant.</summary>
/// <param name="Primary">The primary's frame.</param>
/// <param name="Secondary">The secondary's frame.</param>
/// <param name="Why">Why this instant was chosen, for people.</param>
public sealed record MatchedFrames(GrabbedFrame Primary, GrabbedFrame Secondary, string Why);
