using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Formats.Inputs;
using Tonematch.Luts.Tables;

namespace Tonematch.Matching.Outcome;

/// <summary>
/// The secondary's input LUT followed by the fitted correction, as one table for the clip as recorded.
/// </summary>
/// <param name="Input">The input LUT.</param>
/// <param name="Lut">Both as one table; nodes may lie outside 0..1.</param>
/// <param name="BakingError">The table's difference from both steps in sequence, clamped to 0..1, over all codes.</param>
public sealed record CorrectionWithInput(InputLut Input, Lut3D Lut, LutDifference BakingError)
{
    /// <summary>Combines the two.</summary>
    /// <param name="input">The input LUT.</param>
    /// <param name="correction">The correction fitted to its output.</param>
    /// <param name="size">Nodes per side, 2..129.</param>
    public static CorrectionWithInput Of(InputLut input, Correction correction, int size)
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(correction);
        CodeRgb Both(CodeRgb recorded) => correction.Apply(input.Apply(recorded));
        Lut3D lut = Lut3D.FromFunction(size, Both);
        return new CorrectionWithInput(input, lut, BakedCorrection.BakingErrorOf(lut, Both, correction.PrimaryEncoding));
    }
}
