namespace Tonematch.Samples;

/// <summary>Where a pair was measured.</summary>
/// <param name="PrimarySeconds">Presentation time in the primary clip, seconds.</param>
/// <param name="SecondarySeconds">Presentation time in the secondary clip, seconds.</param>
/// <param name="Primary">Centre and size in the primary's upright picture, pixels.</param>
/// <param name="Secondary">Centre and size in the secondary's upright picture, pixels.</param>
public sealed record SampleOrigin(
    double PrimarySeconds, double SecondarySeconds, SamplePlace Primary, SamplePlace Secondary);

/// <summary>A place in an upright picture.</summary>
/// <param name="X">Centre, pixels from the left.</param>
/// <param name="Y">Centre, pixels from the top.</param>
/// <param name="Width">Width, pixels.</param>
/// <param name="Height">Height, pixels.</param>
public readonly record struct SamplePlace(double X, double Y, double Width, double Height)
{
    /// <summary>The same place in a picture so many times as large.</summary>
    public SamplePlace Scaled(double factor) => new(X * factor, Y * factor, Width * factor, Height * factor);
}
