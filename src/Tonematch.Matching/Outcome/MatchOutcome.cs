using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour.DeltaE;
using Tonematch.Fitting;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Samples;
using Tonematch.Sync;
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

    /// <summary>Which of the secondary's colours the samples speak for; null without frames.</summary>
    public ColourCoverage? Coverage { get; init; }

    /// <summary>The match over the whole overlap; null for still pictures, files of pairs, or where it could not be checked.</summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>What the user should know, in sentences, most important first.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>The largest mean CIEDE2000 that the user accepts, or null.</summary>
    public double? Tolerance { get; init; }

    /// <summary>The figure the verdict leans on: on colours not fitted to where that is known, else on the samples.</summary>
    public DeltaEStatistics Honest => Chosen.Candidate.CrossValidated ?? Chosen.After;

    /// <summary>How the cameras differ, in the terms in which they are set, and what the chosen correction leaves.</summary>
    public CameraDifference Difference { get; } = DifferenceWords.Describe(Samples, Fit with { Advised = Chosen.Candidate });

    /// <summary>The tolerance was named and is missed.</summary>
    public bool MissesTolerance => Tolerance is { } limit && Chosen.After.Mean > limit;
}

/// <summary>The two clips of a match, how they lie in time, and the frames that were compared.</summary>
/// <param name="Primary">The primary clip.</param>
/// <param name="Secondary">The secondary clip.</param>
/// <param name="Sync">How they lie in time; null for still pictures.</param>
/// <param name="Frames">The frames that were compared, in order of time.</param>
public sealed record MatchedClips(ClipInfo Primary, ClipInfo Secondary, SyncFound? Sync, ImmutableArray<MatchedFrames> Frames)
{
    /// <summary>Sound of both around a clear moment, for the report; null without sound.</summary>
    public ClearMoment? Sound { get; init; }

    /// <summary>The frames of that moment; null without sound.</summary>
    public MatchedFrames? AtMoment { get; init; }
}

/// <summary>Two frames of the same instant.</summary>
/// <param name="Primary">The primary's frame.</param>
/// <param name="Secondary">The secondary's frame.</param>
/// <param name="Why">Why this instant was chosen, for people.</param>
public sealed record MatchedFrames(GrabbedFrame Primary, GrabbedFrame Secondary, string Why)
{
    /// <summary>Pixels of these pictures per pixel of the clips: below 1 where they were taken smaller.</summary>
    public (double Primary, double Secondary) ScaleOf(ClipInfo primary, ClipInfo secondary)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        return ((double)Primary.Picture.Width / primary.Width, (double)Secondary.Picture.Width / secondary.Width);
    }
}

