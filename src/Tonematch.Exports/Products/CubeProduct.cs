using Tonematch.Corrections;
using Tonematch.Exports.Corrections;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;

namespace Tonematch.Exports.Products;

/// <summary>The LUT as .cube.</summary>
internal sealed class CubeProduct : Product
{
    /// <inheritdoc/>
    public override string Name => "correction.cube";

    /// <inheritdoc/>
    public override string Description => "the correction as a 3D LUT: load it on every clip of camera B";

    /// <summary>Program, kind, and whether camera B's input LUT is in it.</summary>
    public static string TitleOf(MatchOutcome outcome) =>
        $"{ProgramVersion.Text} {outcome.Chosen.Candidate.Correction.Kind.Name()}{(outcome.WithInput is null ? "" : CorrectionFile.WithInput)}";

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        Lut3D lut = outcome.Lut;
        return ReadBack.Text(
            Name,
            w => CubeFormat.Write(w, lut, TitleOf(outcome)),
            text => { CubeFile cube = CubeFormat.Read(text, Name); return code => cube.Apply(code); },
            code => LutInterpolation.Tetrahedral(lut, code)).Text;
    }
}
