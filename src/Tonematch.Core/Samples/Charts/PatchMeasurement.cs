using Tonematch.Colour;

namespace Tonematch.Samples.Charts;

/// <summary>What a camera recorded of one patch.</summary>
/// <param name="Index">Number of the patch, row by row from the top left, from 0.</param>
/// <param name="Colour">Trimmed mean of the code values over the inner half of its area.</param>
/// <param name="Spread">Standard deviation of the code values within it, per channel.</param>
/// <param name="PixelCount">How many pixels were measured; 0 when the patch lies outside the picture.</param>
/// <param name="ClippedShare">Share of them at a limit of the recording.</param>
/// <param name="Place">Where it is in the picture.</param>
public sealed record PatchMeasurement(
    int Index, CodeRgb Colour, CodeRgb Spread, int PixelCount, double ClippedShare, SamplePlace Place)
{
    /// <summary>Why the patch must not be used, or null when it may be.</summary>
    public PatchFault? Fault { get; init; }
}
