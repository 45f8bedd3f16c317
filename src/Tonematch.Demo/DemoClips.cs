using System.Collections.Immutable;

namespace Tonematch.Demo;

/// <summary>The two clips of the demo and their ground truth.</summary>
/// <param name="PrimaryPath">The camera across the room: H.264 and AAC in MP4, 25 frames per second.</param>
/// <param name="SecondaryPath">The camera close on the hands: 29.97 frames a second, started later.</param>
/// <param name="Truth">The ground truth for checking the whole pipeline.</param>
public sealed record DemoClips(string PrimaryPath, string SecondaryPath, DemoTruth Truth);

/// <summary>The ground truth of the demo's clips, known because they were drawn.</summary>
/// <param name="OffsetSeconds">
/// The offset of the pictures: t_secondary = t_primary + offset; negative because the secondary was started later.
/// </param>
/// <param name="SoundOffsetSeconds">
/// The offset of the sounds: that of the pictures minus the difference in travel time (343 m/s) to the two microphones.
/// </param>
/// <param name="PrimaryDistanceMetres">Distance from the wheel to the primary's microphone.</param>
/// <param name="SecondaryDistanceMetres">Distance from the wheel to the secondary's microphone.</param>
/// <param name="ClapPrimarySeconds">When palms meet, in the primary's time.</param>
/// <param name="ChartFromPrimarySeconds">Start of the time in which the chart is up, still, and in both clips; the primary's time.</param>
/// <param name="ChartUntilPrimarySeconds">End of that time.</param>
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
