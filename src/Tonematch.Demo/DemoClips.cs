using System.Collections.Immutable;

namespace Tonematch.Demo;

/// <summary>The two clips of the demo and what is true of them.</summary>
/// <param name="PrimaryPath">The camera across the room: H.264 and AAC in MP4, 25 frames a second.</param>
/// <param name="SecondaryPath">The camera close on the hands: 29.97 frames a second, started later.</param>
/// <param name="Truth">What the whole pipeline can be checked against.</param>
public sealed record DemoClips(string PrimaryPath, string SecondaryPath, DemoTruth Truth);

/// <summary>What is true of the demo's clips because they were drawn so.</summary>
/// <param name="OffsetSeconds">
/// Of the pictures: t_secondary = t_primary + offset; negative because the secondary was started later.
/// </param>
/// <param name="SoundOffsetSeconds">
/// What the sound alone shows: the offset of the pictures less the difference in travel time (343 m/s) to the two
/// microphones.
/// </param>
/// <param name="PrimaryDistanceMetres">From the wheel to the primary's microphone.</param>
/// <param name="SecondaryDistanceMetres">From the wheel to the secondary's microphone.</param>
/// <param name="ClapPrimarySeconds">When palms meet, in the primary's time.</param>
/// <param name="ChartFromPrimarySeconds">From here on the chart is up, still, and in both clips; the primary's time.</param>
/// <param name="ChartUntilPrimarySeconds">Until here.</param>
/// <param name="LampPrimarySeconds">When the lamp is switched on, in the primary's time.</param>
/// <param name="PrimaryChartCorners">
/// Outer corners of the corner patches, pixels of the primary's picture, clockwise from the first patch (dark skin).
/// </param>
/// <param name="SecondaryChartCorners">The same in the secondary's picture.</param>
/// <param name="Patches">The chart's patches as each camera records them without noise, lamp off.</param>
public sealed record DemoTruth(
    double OffsetSeconds,
    double SoundOffsetSeconds,
    double PrimaryDistanceMetres,
    double SecondaryDistanceMetres,
    ImmutableArray<double> ClapPrimarySeconds,
    double ChartFromPrimarySeconds,
    double ChartUntilPrimarySeconds,
    double LampPrimarySeconds,
    ImmutableArray<(double X, double Y)> PrimaryChartCorners,
    ImmutableArray<(double X, double Y)> SecondaryChartCorners,
    ImmutableArray<DemoPatch> Patches);
