using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;

namespace Tonematch.Reporting;

/// <summary>
/// The data of the report's page: plain facts, from which only pictures and plots remain to be computed.
/// </summary>
public sealed record ReportModel
{
    /// <summary>The verdict: the badge and the first lines of the page.</summary>
    public required Verdict Verdict { get; init; }

    /// <summary>Further sentences at the top of the page.</summary>
    public ImmutableArray<string> Lead { get; init; } = [];

    /// <summary>Name of the delivered kind of correction, e.g. 'matrix'.</summary>
    public required string Kind { get; init; }

    /// <summary>The primary clip; null when the pairs were read from a file.</summary>
    public ReportClip? Primary { get; init; }

    /// <summary>The secondary clip; null when the pairs were read from a file.</summary>
    public ReportClip? Secondary { get; init; }

    /// <summary>How the clips are aligned in time; null when there is nothing to align.</summary>
    public ReportSync? Sync { get; init; }

    /// <summary>The first pictures of the page; null without pictures.</summary>
    public FirstLook? FirstLook { get; init; }

    /// <summary>A short clip (MP4, H.264) that cuts between A and the corrected B; empty when there is none.</summary>
    public ReadOnlyMemory<byte> CutTest { get; init; }

    /// <summary>Instants with their pictures, the most informative first.</summary>
    public ImmutableArray<ReportFrame> Frames { get; init; } = [];

    /// <summary>The primary's encoding: primary and corrected colours use it.</summary>
    public required SignalEncoding Encoding { get; init; }

    /// <summary>The secondary's encoding.</summary>
    public required SignalEncoding SecondaryEncoding { get; init; }

    /// <summary>Where the samples come from, in a sentence.</summary>
    public string SampleSource { get; init; } = "";

    /// <summary>Corresponding colours, at least one.</summary>
    public required ImmutableArray<ReportPair> Pairs { get; init; }

    /// <summary>Candidates that were left out, by reason.</summary>
    public ImmutableSortedDictionary<string, int> Rejected { get; init; } = ImmutableSortedDictionary<string, int>.Empty;

    /// <summary>CIEDE2000 below which differences disappear in this footage's noise; null when not measured.</summary>
    public double? NoiseFloorDeltaE { get; init; }

    /// <summary>CIEDE2000 of the pairs as recorded.</summary>
    public required DeltaEStatistics Before { get; init; }

    /// <summary>CIEDE2000 of the pairs after the correction.</summary>
    public required DeltaEStatistics After { get; init; }

    /// <summary>CIEDE2000 on colours left out of the fit; null if unknown.</summary>
    public DeltaEStatistics? CrossValidated { get; init; }

    /// <summary>The mean CIEDE2000 that the user asked for; null for none.</summary>
    public double? Tolerance { get; init; }

    /// <summary>Every kind of correction that was tried, from simple to flexible.</summary>
    public ImmutableArray<ReportKind> Kinds { get; init; } = [];

    /// <summary>Kinds that could not be fitted and why.</summary>
    public ImmutableArray<(string Kind, string Why)> NotFitted { get; init; } = [];

    /// <summary>Nodes per side of the LUT.</summary>
    public int? LutNodes { get; init; }

    /// <summary>What can go wrong with the LUT in use, measured; null when there is no LUT.</summary>
    public LutSafetyReport? Safety { get; init; }

    /// <summary>The match over the whole overlap; null when it was not checked.</summary>
    public CheckResult? OverTime { get; init; }

    /// <summary>
    /// The drift of camera B's exposure and white balance, already removed from <see cref="OverTime"/>; null if it is
    /// steady.
    /// </summary>
    public DriftOutcome? Drift { get; init; }

    /// <summary>What the user should know, most important first.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];

    /// <summary>What to do next, in order.</summary>
    public ImmutableArray<string> Next { get; init; } = [];

    /// <summary>What to set or do differently at the next shoot.</summary>
    public ImmutableArray<string> NextTime { get; init; } = [];

    /// <summary>The correction's output for the secondary's greys, from black to white in equal steps.</summary>
    public ImmutableArray<CodeRgb> Curves { get; init; } = [];

    /// <summary>How it was computed: versions, hashes, the command; label and value.</summary>
    public ImmutableArray<(string Label, string Value)> HowComputed { get; init; } = [];
}
