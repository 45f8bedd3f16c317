using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Lift, gamma and gain per channel, in code values of the primary's encoding: y = (lift + (gain - lift) x)^(1 /
/// gamma). Before gamma, lift is the output for black and gain the output for white.
/// </summary>
/// <remarks>
/// Where lift + (gain - lift) x is below 0 (a negative lift near black) the power is undefined; there y = -(-base)^(1 /
/// gamma), the odd continuation. It keeps the curve continuous and increasing through 0, so that a LUT interpolates
/// correctly between nodes on both sides of the crossing; a floor at 0 would lift everything between them. A display
/// shows the negative result as black. Above white the formula continues; nothing is clamped. With gamma above 1 the
/// slope at base 0 is infinite: noise at black is amplified, which the LUT's safety figures show.
/// </remarks>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
/// <param name="Lift">The output for code 0, before gamma.</param>
/// <param name="Gamma">The exponent is 1 / gamma; above 0.</param>
/// <param name="Gain">The output for code 1, before gamma.</param>
/// <exception cref="ArgumentException">A number is not finite, or a gamma is not above 0.</exception>
public sealed record LiftGammaGainCorrection(
    SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding, PerChannel Lift, PerChannel Gamma, PerChannel Gain)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <summary>The output for code 0, before gamma.</summary>
    public PerChannel Lift { get; } = PerChannel.Checked(Lift, "lift", aboveZero: false);

    /// <summary>The exponent is 1 / gamma; above 0.</summary>
    public PerChannel Gamma { get; } = PerChannel.Checked(Gamma, "gamma", aboveZero: true, zeroAllowed: false);

    /// <summary>The output for code 1, before gamma.</summary>
    public PerChannel Gain { get; } = PerChannel.Checked(Gain, "gain", aboveZero: false);

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.LiftGammaGain;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        ("lift.r", Lift.R), ("lift.g", Lift.G), ("lift.b", Lift.B),
        ("gamma.r", Gamma.R), ("gamma.g", Gamma.G), ("gamma.b", Gamma.B),
        ("gain.r", Gain.R), ("gain.g", Gain.G), ("gain.b", Gain.B),
    ];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        CodeRgb x = InPrimaryEncoding(WithinReach(secondary));
        return AsFinite(new CodeRgb(Channel(x.R, 0), Channel(x.G, 1), Channel(x.B, 2)));
    }

    private double Channel(double x, int c)
    {
        double b = Lift[c] + ((Gain[c] - Lift[c]) * x);
        return b < 0 ? -Math.Pow(-b, 1 / Gamma[c]) : Math.Pow(b, 1 / Gamma[c]);
    }
}
