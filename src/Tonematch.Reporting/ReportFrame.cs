using Tonematch.Pictures;

namespace Tonematch.Reporting;

/// <summary>Both cameras at one instant.</summary>
/// <param name="PrimarySeconds">Presentation time in the primary.</param>
/// <param name="SecondarySeconds">Presentation time in the secondary.</param>
/// <param name="Primary">The primary's picture.</param>
/// <param name="Secondary">The secondary's picture as recorded.</param>
/// <param name="Corrected">The secondary's picture after the correction, in the primary's encoding; same size.</param>
/// <param name="Why">Why this instant is shown, for people; may be empty.</param>
public sealed record ReportFrame(
    double PrimarySeconds, double SecondarySeconds, Picture Primary, Picture Secondary, Picture Corrected, string Why)
{
    /// <summary>
    /// Whether both cameras stood at one place, so that the pictures show the same things pixel by pixel.
    /// </summary>
    public bool SameView { get; init; }
}
