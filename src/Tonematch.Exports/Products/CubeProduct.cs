using Tonematch.Corrections;
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

    /// <inheritdoc/>
    public override string Make(MatchOutcome outcome, ProductContext context)
    {
        Lut3D lut = outcome.Chosen.Lut;
        return ReadBack.Text(
            Name,
            w => CubeFormat.Write(w, lut, $"{ProgramVersion.Text} {outcome.Chosen.Candidate.Correction.Kind.Name()}"),
            text => { CubeFile cube = CubeFormat.Read(text, Name); return code => cube.Apply(code); },
            code => LutInterpolation.Tetrahedral(lut, code)).Text;
    }
}
