using Tonematch.Colour.DeltaE;

namespace Tonematch.Checking;

/// <summary>How well the two cameras match at one instant.</summary>
/// <param name="PrimarySeconds">Presentation time in the primary.</param>
/// <param name="SecondarySeconds">Presentation time in the secondary.</param>
/// <param name="DeltaE">CIEDE2000 over the instant's colours.</param>
/// <param name="ExposureStops">Median log2 ratio of the corrected light to the primary's; above 0 is too light.</param>
/// <param name="RedGreenStops">Median log2 of the red/green ratio relative to the primary's; above 0 is too red.</param>
/// <param name="BlueGreenStops">Median log2 of the blue/green ratio relative to the primary's; above 0 is too blue.</param>
public sealed record InstantFigures(
    double PrimarySeconds,
    double SecondarySeconds,
    DeltaEStatistics DeltaE,
    double ExposureStops,
    double RedGreenStops,
    double BlueGreenStops);
