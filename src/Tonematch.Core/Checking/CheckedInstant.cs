using System.Collections.Immutable;

namespace Tonematch.Checking;

/// <summary>Corresponding colours at one instant of the overlap.</summary>
/// <param name="PrimarySeconds">Presentation time in the primary.</param>
/// <param name="SecondarySeconds">Presentation time in the secondary.</param>
/// <param name="Colours">At least one.</param>
public sealed record CheckedInstant(double PrimarySeconds, double SecondarySeconds, ImmutableArray<CheckedColour> Colours);
