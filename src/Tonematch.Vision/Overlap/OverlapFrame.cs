using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>The frames of both cameras at one instant.</summary>
/// <param name="Primary">The primary's frame.</param>
/// <param name="Secondary">The secondary's frame.</param>
/// <param name="PrimarySeconds">Presentation time of the primary's frame.</param>
/// <param name="SecondarySeconds">Presentation time of the secondary's frame.</param>
public sealed record OverlapFrame(Picture Primary, Picture Secondary, double PrimarySeconds = 0, double SecondarySeconds = 0);
