using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Changes only the encoding: what a player shows of the uncorrected secondary. 'Before' in every table.
/// </summary>
public sealed record IdentityCorrection(SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.Identity;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers => [];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary) => AsFinite(InPrimaryEncoding(WithinReach(secondary)));
}
