using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Lift, gamma and gain a channel, in code values of the primary's encoding:
/// y = (lift + (gain - lift) x)^(1 / gamma). Lift is where black lands and gain where white lands, before gamma.
/// </summary>
/// <remarks>
/// Where lift + (gain - lift) x is below 0 (a negative lift near black) the power has no value; there
/// y = -(-base)^(1 / gamma), the odd continuation. It keeps the curve continuous and rising through 0, so that a LUT
/// whose nodes straddle the crossing interpolates towards it; a floor at 0 would lift all that lies between the two
/// nodes. A display shows the negative result as black. Above white the formula simply goes on; nothing is clamped.
/// With gamma above 1 the slope at base 0 is infinite: noise at black is amplified, which the LUT's safety figures show.
/// </remarks>
/// <param name="SecondaryEncoding">What the code values that go in mean.</param>
/// <param name="PrimaryEncoding">What the code values that come out mean.</param>
/// <param name="Lift">Where code 0 lands, before gamma.</param>
/// <param name="Gamma">Exponent 1 / gamma; above 0.</param>
/// <param name="Gain">Where code 1 lands, before gamma.</param>
/// <exception cref="ArgumentException">A number is not finite, or a gamma is not above 0.</exception>
public sealed record LiftGammaGainCorrection(
    SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding, PerChannel Lift, PerChannel Gamma, PerChannel Gain)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <summary>Where code 0 lands, before gamma.</summary>
    public PerChannel Lift { get; } = PerChannel.Checked(Lift, "lift", aboveZero: false);

    /// <summary>Exponent 1 / gamma; above 0.</summary>
    public PerChannel Gamma { get; } = PerChannel.Checked(Gamma, "gamma", aboveZero: true, zeroAllowed: false);

    /// <summary>Where code 1 lands, before gamma.</summary>
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
