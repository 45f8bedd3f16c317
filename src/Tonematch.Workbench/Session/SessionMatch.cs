using System.Collections.Immutable;
using Tonematch.Corrections;
using Tonematch.Matching.Requests;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Workbench.Session;

/// <summary>What a person decided about one clip of camera B.</summary>
/// <param name="Clip">The clip, as a path.</param>
public sealed record SessionMatch(string Clip)
{
    /// <summary>t_secondary = t_primary + offset, seconds; null to find it from the sound.</summary>
    public double? OffsetSeconds { get; init; }

    /// <summary>The clocks' drift beside a given offset, parts per million.</summary>
    public double DriftPpm { get; init; }

    /// <summary>Where corresponding colours come from; null for chart, else overlap, else overall.</summary>
    public SamplingMethod? Method { get; init; }

    /// <summary>The chart to look for, by name; null for the default.</summary>
    public string? Chart { get; init; }

    /// <summary>Instants to compare, as on the command line; empty to let the program choose.</summary>
    public ImmutableArray<string> At { get; init; } = [];

    /// <summary>The chart's corners in camera A's upright picture, pixels; null to search for it.</summary>
    public ImmutableArray<PicturePoint>? PrimaryChart { get; init; }

    /// <summary>The chart's corners in camera B's upright picture, pixels; null to search for it.</summary>
    public ImmutableArray<PicturePoint>? SecondaryChart { get; init; }

    /// <summary>Pairs taken out, regions added, weights.</summary>
    public SampleEdits Edits { get; init; } = SampleEdits.None;

    /// <summary>The kind of correction; null for the advised one.</summary>
    public CorrectionKind? Model { get; init; }

    /// <summary>Changes made after the match.</summary>
    public Trim Trim { get; init; } = Trim.None;

    /// <summary>
    /// The settings that decide which samples are found; other changes do not need the clips to be analysed again.
    /// </summary>
    internal SessionMatch OnlySampling => this with { Edits = SampleEdits.None, Model = null, Trim = Trim.None };
}
