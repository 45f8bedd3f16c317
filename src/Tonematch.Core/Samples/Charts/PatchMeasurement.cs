using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>A camera's recording of one patch.</summary>
/// <param name="Index">Index of the patch, row by row from the top left, from 0.</param>
/// <param name="Colour">Trimmed mean of the code values over the inner half of its area.</param>
/// <param name="Spread">Standard deviation of the code values within it, per channel.</param>
/// <param name="PixelCount">The number of pixels measured; 0 if the patch lies outside the picture.</param>
/// <param name="ClippedShare">Share of clipped pixels.</param>
/// <param name="Place">Its place in the picture.</param>
public sealed record PatchMeasurement(
    int Index, CodeRgb Colour, CodeRgb Spread, int PixelCount, double ClippedShare, SamplePlace Place)
{
    /// <summary>Why the patch must not be used; null if it may be.</summary>
    public PatchFault? Fault { get; init; }
}
