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
    /// <summary>t_secondary = t_primary + offset, seconds; null: found by the sound.</summary>
    public double? OffsetSeconds { get; init; }

    /// <summary>The clocks' drift beside a given offset, parts per million.</summary>
    public double DriftPpm { get; init; }

    /// <summary>Where corresponding colours come from; null: chart, else overlap, else overall.</summary>
    public SamplingMethod? Method { get; init; }

    /// <summary>The chart to look for, by name; null: the usual one.</summary>
    public string? Chart { get; init; }

    /// <summary>Instants to compare, as the command line takes them; empty: chosen by the program.</summary>
    public ImmutableArray<string> At { get; init; } = [];

    /// <summary>The chart's corners in camera A's upright picture, pixels; null: it is looked for.</summary>
    public ImmutableArray<PicturePoint>? PrimaryChart { get; init; }

    /// <summary>The chart's corners in camera B's upright picture, pixels; null: it is looked for.</summary>
    public ImmutableArray<PicturePoint>? SecondaryChart { get; init; }

    /// <summary>Pairs taken out, regions added, weights.</summary>
    public SampleEdits Edits { get; init; } = SampleEdits.None;

    /// <summary>The kind of correction; null: the advised one.</summary>
    public CorrectionKind? Model { get; init; }

    /// <summary>What is changed after the match.</summary>
    public Trim Trim { get; init; } = Trim.None;

    /// <summary>Everything that decides which samples are found; what differs only elsewhere needs no new look at the clips.</summary>
    internal SessionMatch OnlySampling => this with { Edits = SampleEdits.None, Model = null, Trim = Trim.None };
}
