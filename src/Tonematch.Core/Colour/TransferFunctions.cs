namespace Tonematch.Colour;

/// <summary>
/// The published camera and display curves, one channel at a time. All are odd-symmetric below 0 (a negative signal
/// gives negative light) but ACEScct, which has a straight line there; all are not clamped above 1, and give NaN for NaN.
/// </summary>
/// <remarks>
/// Code to light and back is exact within 1e-12 for every finite value, except for PQ codes below 7.3e-7: the published
/// PQ curve gives no light there, and code 7.3e-7 for no light.
/// </remarks>
/// <seealso href="docs/sources.md">[BT.709], [BT.1886], [BT.2020], [BT.2100], [IEC61966-2-1], [ST2084], [S-2016-001]</seealso>
public static class TransferFunctions
{
    /// <summary>Luminance of HDR reference white in cd/m2 ([BT.2408]).</summary>
    public const double HdrReferenceWhite = 203;

    // [BT.2020] table 4: alpha and beta solve 4.5 beta = alpha beta^0.45 - alpha + 1 and 4.5 = 0.45 alpha beta^-0.55.
    // BT.709 prints them rounded (1.099, 0.018), which causes a step of 2.5e-4 at the knee. With the exact solution the
    // curve is smooth and code -> light -> code is exact; it differs from the rounded curve by at most 2.5e-4 in code,
    // at the knee (a quarter of a 10-bit code), and below 8e-5 in the upper half.
    internal const double Bt709Alpha = 1.09929682680944;
    internal const double Bt709Beta = 0.018053968510807;

    // [BT.2100] table 5.
    internal const double HlgA = 0.17883277;
    internal const double HlgB = 1 - (4 * HlgA);

    // [ST2084], [BT.2100] table 4.
    internal const double PqM1 = 2610.0 / 16384;
    internal const double PqM2 = 2523.0 / 4096 * 128;
    internal const double PqC1 = 3424.0 / 4096;
    internal const double PqC2 = 2413.0 / 4096 * 32;
    internal const double PqC3 = 2392.0 / 4096 * 32;

    // [S-2016-001] equations 4 and 5: the straight part A x + B up to the break, (log2 x + 9.72) / 17.52 above.
    internal const double CctA = 10.5402377416545;
    internal const double CctB = 0.0729055341958355;
    internal const double CctBreak = 0.0078125;
    internal const double CctCodeAtBreak = (CctA * CctBreak) + CctB;
    internal const double CctLogOffset = 9.72;
    internal const double CctLogScale = 17.52;

    internal const double HlgPeak = 1000;
    internal const double HlgSystemGamma = 1.2;

    // The slope of the PQ curve at code 1: d/dc of ((c^(1/m2) - c1) / (c2 - c3 c^(1/m2)))^(1/m1), where
    // c2 - c3 = 1 - c1 and so the fraction is 1.
    internal const double PqSlopeAtOne = (PqC2 - (PqC1 * PqC3)) / ((1 - PqC1) * (1 - PqC1)) / (PqM1 * PqM2);

    /// <summary>The constant c of the HLG curve ([BT.2100] table 5), 0.55991073 as printed.</summary>
    internal static readonly double HlgC = 0.5 - (HlgA * Math.Log(4 * HlgA));

    /// <summary>Inverse OETF of BT.709 and BT.2020: signal to scene light.</summary>
    public static double Bt709ToScene(double code)
    {
        double c = Math.Abs(code);
        return Math.CopySign(
            c < 4.5 * Bt709Beta ? c / 4.5 : Math.Pow((c + (Bt709Alpha - 1)) / Bt709Alpha, 1 / 0.45), code);
    }

    /// <summary>OETF of BT.709 and BT.2020: scene light to signal.</summary>
    public static double Bt709FromScene(double light)
    {
        double l = Math.Abs(light);
        return Math.CopySign(
            l < Bt709Beta ? 4.5 * l : (Bt709Alpha * Math.Pow(l, 0.45)) - (Bt709Alpha - 1), light);
    }

    /// <summary>EOTF of BT.1886 with white 1 and black 0: gamma 2.4.</summary>
    public static double Bt1886ToDisplay(double code) => Math.CopySign(Math.Pow(Math.Abs(code), 2.4), code);

    /// <summary>Inverse of <see cref="Bt1886ToDisplay"/>.</summary>
    public static double Bt1886FromDisplay(double light) => Math.CopySign(Math.Pow(Math.Abs(light), 1 / 2.4), light);

    /// <summary>sRGB code value to linear light ([IEC61966-2-1]).</summary>
    public static double SrgbToLinear(double code)
    {
        double c = Math.Abs(code);
        return Math.CopySign(c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4), code);
    }

    /// <summary>Linear light to sRGB code value ([IEC61966-2-1]).</summary>
    /// <remarks>
    /// The two pieces meet at light 0.04045 / 12.92 (the standard prints 0.0031308, rounded), so that both directions
    /// switch at the same colour and code to light and back is exact.
    /// </remarks>
    public static double SrgbFromLinear(double light)
    {
        double l = Math.Abs(light);
        return Math.CopySign(l <= 0.04045 / 12.92 ? 12.92 * l : (1.055 * Math.Pow(l, 1 / 2.4)) - 0.055, light);
    }

    /// <summary>Inverse OETF of HLG: signal 0..1 to scene light 0..1 ([BT.2100] table 5).</summary>
    public static double HlgToScene(double code)
    {
        double c = Math.Abs(code);
        return Math.CopySign(c <= 0.5 ? c * c / 3 : (Math.Exp((c - HlgC) / HlgA) + HlgB) / 12, code);
    }

    /// <summary>OETF of HLG: scene light 0..1 to signal 0..1 ([BT.2100] table 5).</summary>
    public static double HlgFromScene(double light)
    {
        double l = Math.Abs(light);
        return Math.CopySign(l <= 1.0 / 12 ? Math.Sqrt(3 * l) : (HlgA * Math.Log((12 * l) - HlgB)) + HlgC, light);
    }

    /// <summary>PQ signal to light, 1 = 10 000 cd/m2 ([ST2084]).</summary>
    /// <remarks>
    /// The published curve ends at code 1 and its formula has a pole at 1.99. Above 1 it continues along its tangent,
    /// so that light stays finite and increasing whatever the result of a correction.
    /// </remarks>
    public static double PqToLinear(double code)
    {
        double c = Math.Abs(code);
        if (c > 1)
        {
            return Math.CopySign(1 + (PqSlopeAtOne * (c - 1)), code);
        }

        double p = Math.Pow(c, 1 / PqM2);
        return Math.CopySign(Math.Pow(Math.Max(p - PqC1, 0) / (PqC2 - (PqC3 * p)), 1 / PqM1), code);
    }

    /// <summary>Light, 1 = 10 000 cd/m2, to PQ signal ([ST2084]); above 1 the inverse of the tangent.</summary>
    public static double PqFromLinear(double light)
    {
        double l = Math.Abs(light), c;
        if (l > 1)
        {
            c = 1 + ((l - 1) / PqSlopeAtOne);
        }
        else
        {
            double p = Math.Pow(l, PqM1);
            c = Math.Pow((PqC1 + (PqC2 * p)) / (1 + (PqC3 * p)), PqM2);
        }

        return light < 0 ? -c : c;
    }

    /// <summary>
    /// HLG EOTF with its OOTF for a 1000 cd/m2 display ([BT.2100] table 5, system gamma 1.2, black 0), relative
    /// to 203 cd/m2.
    /// </summary>
    /// <remarks>
    /// If the luminance is negative (out of the display's gamut), the gain depends on its absolute value, so that the
    /// curve is odd-symmetric and invertible. A colour with luminance 0 gives no light.
    /// </remarks>
    public static DisplayRgb HlgToDisplay(CodeRgb code)
    {
        double r = HlgToScene(code.R), g = HlgToScene(code.G), b = HlgToScene(code.B);
        double k = HlgPeak / HdrReferenceWhite * Math.Pow(Math.Abs(Bt2020Luminance(r, g, b)), HlgSystemGamma - 1);
        return new DisplayRgb(k * r, k * g, k * b);
    }

    /// <summary>Inverse of <see cref="HlgToDisplay"/>.</summary>
    public static CodeRgb HlgFromDisplay(DisplayRgb light)
    {
        const double scale = HdrReferenceWhite / HlgPeak;
        double r = light.R * scale, g = light.G * scale, b = light.B * scale;
        double y = Math.Abs(Bt2020Luminance(r, g, b));
        double k = y == 0 ? 0 : Math.Pow(y, (1 - HlgSystemGamma) / HlgSystemGamma);
        return new CodeRgb(HlgFromScene(k * r), HlgFromScene(k * g), HlgFromScene(k * b));
    }

    /// <summary>ACEScct code to scene light, 1 = a perfectly white, matt surface ([S-2016-001]).</summary>
    /// <remarks>
    /// The published decoding holds its value above code 1.468, the largest half-float; here the curve continues. The
    /// two pieces meet at the end of the straight one (the specification prints 0.155251141552511), so that code to
    /// light and back is exact.
    /// </remarks>
    public static double AcesCctToLinear(double code) =>
        code <= CctCodeAtBreak ? (code - CctB) / CctA : Math.Pow(2, (code * CctLogScale) - CctLogOffset);

    /// <summary>Scene light to ACEScct code ([S-2016-001]).</summary>
    public static double AcesCctFromLinear(double light) =>
        light <= CctBreak ? (CctA * light) + CctB : (Math.Log2(light) + CctLogOffset) / CctLogScale;

    private static double Bt2020Luminance(double r, double g, double b) => (0.2627 * r) + (0.6780 * g) + (0.0593 * b);
}
