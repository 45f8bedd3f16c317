using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// ASC CDL v1.2 with its clamps, on code values of the primary's encoding: out = clamp(in * slope + offset)^power per
/// channel, then saturation around BT.709 luma, then clamp. Clamping to 0..1 is part of the published definition.
/// </summary>
/// <remarks>
/// Source: American Society of Cinematographers, 'ASC Color Decision List (ASC CDL) Transfer Functions and Interchange
/// Syntax', version 1.2, 2009; luma = 0.2126 R + 0.7152 G + 0.0722 B.
/// </remarks>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
/// <param name="Slope">Factor, 0 or more.</param>
/// <param name="Offset">Added after the factor.</param>
/// <param name="Power">Exponent, above 0.</param>
/// <param name="Saturation">0 is grey, 1 unchanged; 0 or more.</param>
/// <exception cref="ArgumentException">A number is not finite or out of its range.</exception>
public sealed record CdlCorrection(
    SignalEncoding SecondaryEncoding,
    SignalEncoding PrimaryEncoding,
    PerChannel Slope,
    PerChannel Offset,
    PerChannel Power,
    double Saturation)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    internal const double LumaR = 0.2126;
    internal const double LumaG = 0.7152;
    internal const double LumaB = 0.0722;

    /// <summary>Factor, 0 or more.</summary>
    public PerChannel Slope { get; } = PerChannel.Checked(Slope, "slope", aboveZero: true);

    /// <summary>Added after the factor.</summary>
    public PerChannel Offset { get; } = PerChannel.Checked(Offset, "offset", aboveZero: false);

    /// <summary>Exponent, above 0.</summary>
    public PerChannel Power { get; } = PerChannel.Checked(Power, "power", aboveZero: true, zeroAllowed: false);

    /// <summary>0 is grey, 1 unchanged; 0 or more.</summary>
    public double Saturation { get; } = double.IsFinite(Saturation) && Saturation >= 0
        ? Saturation
        : throw new ArgumentException($"The saturation must be finite and 0 or more, not {Saturation}.", nameof(Saturation));

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.Cdl;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        ("slope.r", Slope.R), ("slope.g", Slope.G), ("slope.b", Slope.B),
        ("offset.r", Offset.R), ("offset.g", Offset.G), ("offset.b", Offset.B),
        ("power.r", Power.R), ("power.g", Power.G), ("power.b", Power.B),
        ("saturation", Saturation),
    ];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary) =>
        Apply(InPrimaryEncoding(WithinReach(secondary)), Slope, Offset, Power, Saturation, clamp: true);

    /// <summary>The transfer function itself; without clamps, values below 0 pass the power unchanged.</summary>
    internal static CodeRgb Apply(CodeRgb code, PerChannel slope, PerChannel offset, PerChannel power, double saturation, bool clamp)
    {
        CodeRgb result = Saturate(new CodeRgb(Channel(code.R, 0), Channel(code.G, 1), Channel(code.B, 2)), saturation);
        return clamp ? result.Clamped() : result;

        double Channel(double x, int c)
        {
            double v = (x * slope[c]) + offset[c];
            return clamp ? Math.Pow(Math.Clamp(v, 0, 1), power[c]) : v < 0 ? v : Math.Pow(v, power[c]);
        }
    }

    /// <summary>Multiplies the distances from BT.709 luma by a factor.</summary>
    internal static CodeRgb Saturate(CodeRgb x, double saturation)
    {
        double luma = (LumaR * x.R) + (LumaG * x.G) + (LumaB * x.B);
        return new CodeRgb(luma + (saturation * (x.R - luma)), luma + (saturation * (x.G - luma)), luma + (saturation * (x.B - luma)));
    }
}
