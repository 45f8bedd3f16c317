using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;

namespace Tonematch.Matching.Requests;

/// <summary>What the user asks of a match of one secondary. Everything but the two paths has a sensible default.</summary>
/// <param name="PrimaryPath">The clip or still whose colours are right.</param>
/// <param name="SecondaryPath">The clip or still to be matched.</param>
public sealed record MatchRequest(string PrimaryPath, string SecondaryPath)
{
    /// <summary>t_secondary = t_primary + offset, in seconds; null: found by the sound.</summary>
    public double? OffsetSeconds { get; init; }

    /// <summary>Instants in the primary, as the user wrote them; empty: chosen by the program.</summary>
    public ImmutableArray<string> At { get; init; } = [];

    /// <summary>Where corresponding colours come from; null: chart, else overlap, else overall.</summary>
    public SamplingMethod? Method { get; init; }

    /// <summary>The kind of correction; null: the advised one.</summary>
    public CorrectionKind? Model { get; init; }

    /// <summary>Nodes a side of the LUT, 2..129.</summary>
    public int LutSize { get; init; } = 33;

    /// <summary>The largest mean CIEDE2000 after correction that is good enough; null: no verdict.</summary>
    public double? Tolerance { get; init; }

    /// <summary>What the primary's code values mean; null: its tags decide.</summary>
    public SignalEncoding? PrimaryEncoding { get; init; }

    /// <summary>What the secondary's code values mean; null: its tags decide.</summary>
    public SignalEncoding? SecondaryEncoding { get; init; }

    /// <summary>Regions marked by hand.</summary>
    public ImmutableArray<RegionPair> Regions { get; init; } = [];

    /// <summary>The chart to look for.</summary>
    public ChartReference Chart { get; init; } = ChartReference.Chart24;

    /// <summary>The chart's four corners in the primary's upright picture, or null: it is looked for.</summary>
    public ImmutableArray<PicturePoint>? PrimaryChartCorners { get; init; }

    /// <summary>The chart's four corners in the secondary's upright picture, or null: it is looked for.</summary>
    public ImmutableArray<PicturePoint>? SecondaryChartCorners { get; init; }

    /// <summary>The sound track of the primary, from 0; null: the loud one.</summary>
    public int? PrimaryAudioTrack { get; init; }

    /// <summary>The sound track of the secondary, from 0; null: the loud one.</summary>
    public int? SecondaryAudioTrack { get; init; }

    /// <summary>Metres from the sound's source to the primary's microphone, when known.</summary>
    public double? PrimaryMicDistanceMetres { get; init; }

    /// <summary>Metres from the sound's source to the secondary's microphone, when known.</summary>
    public double? SecondaryMicDistanceMetres { get; init; }

    /// <summary>The same request for pictures smaller or larger than the clips' own: what was marked in pixels moves along.</summary>
    /// <param name="primary">Pixels of the primary's pictures per pixel of the clip, above 0.</param>
    /// <param name="secondary">The same of the secondary.</param>
    public MatchRequest ForPicturesScaled(double primary, double secondary) => this with
    {
        Regions = [.. Regions.Select(r => r with { Primary = r.Primary.Scaled(primary), Secondary = r.Secondary.Scaled(secondary) })],
        PrimaryChartCorners = Scaled(PrimaryChartCorners, primary),
        SecondaryChartCorners = Scaled(SecondaryChartCorners, secondary),
    };

    private static ImmutableArray<PicturePoint>? Scaled(ImmutableArray<PicturePoint>? corners, double factor) =>
        corners is { } given ? [.. given.Select(c => new PicturePoint(c.X * factor, c.Y * factor))] : null;
}
