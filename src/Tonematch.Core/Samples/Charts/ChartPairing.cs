namespace Tonematch.Samples.Charts;

/// <summary>The chart as both cameras recorded it at one instant.</summary>
/// <param name="Primary">The primary's measurement.</param>
/// <param name="Secondary">The secondary's measurement.</param>
/// <param name="PrimarySeconds">Presentation time of the primary's frame.</param>
/// <param name="SecondarySeconds">Presentation time of the secondary's frame.</param>
public sealed record ChartPairing(
    ChartMeasurement Primary, ChartMeasurement Secondary, double PrimarySeconds = 0, double SecondarySeconds = 0);
