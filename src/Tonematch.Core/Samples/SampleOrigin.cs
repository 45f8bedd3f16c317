namespace Tonematch.Samples;

/// <summary>Where a pair was measured.</summary>
/// <param name="PrimarySeconds">Presentation time in the primary clip, seconds.</param>
/// <param name="SecondarySeconds">Presentation time in the secondary clip, seconds.</param>
/// <param name="Primary">The place in the primary's upright picture.</param>
/// <param name="Secondary">The place in the secondary's upright picture.</param>
public sealed record SampleOrigin(
    double PrimarySeconds, double SecondarySeconds, SamplePlace Primary, SamplePlace Secondary);
