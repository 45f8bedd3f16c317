using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Formats.Inputs;
using Tonematch.Luts.Tables;

namespace Tonematch.Matching.Outcome;

/// <summary>The fitted correction behind the secondary's input LUT, as one table for the clip as it was recorded.</summary>
/// <param name="Input">What the recording goes through first.</param>
/// <param name="Lut">Both as one table; nodes may lie outside 0..1.</param>
/// <param name="BakingError">The table against both one after the other, limited to 0..1, over all codes.</param>
public sealed record CorrectionWithInput(InputLut Input, Lut3D Lut, LutDifference BakingError)
{
    /// <summary>Puts the two together.</summary>
    /// <param name="input">What the recording goes through first.</param>
    /// <param name="correction">What was fitted to what comes out of it.</param>
    /// <param name="size">Nodes a side, 2..129.</param>
    public static CorrectionWithInput Of(InputLut input, Correction correction, int size)
    {
        ArgumentNullException.ThrowIfNull(input);
        ArgumentNullException.ThrowIfNull(correction);
        CodeRgb Both(CodeRgb recorded) => correction.Apply(input.Apply(recorded));
        Lut3D lut = Lut3D.FromFunction(size, Both);
        return new CorrectionWithInput(input, lut, LutComparison.Compare(
            code => Both(code).Clamped(), code => LutInterpolation.Tetrahedral(lut, code).Clamped(), correction.PrimaryEncoding, size));
    }
}
