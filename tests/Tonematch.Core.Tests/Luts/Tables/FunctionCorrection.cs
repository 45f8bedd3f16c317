using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Core.Tests.Luts.Tables;

/// <summary>Any function as a correction.</summary>
internal sealed record FunctionCorrection(Func<CodeRgb, CodeRgb> Function) : Correction(SignalEncoding.Bt709, SignalEncoding.Bt709)
{
    public override CorrectionKind Kind => CorrectionKind.Lattice;

    public override IReadOnlyList<(string Name, double Value)> Numbers => [];

    public override CodeRgb Apply(CodeRgb secondary) => Function(secondary);
}
