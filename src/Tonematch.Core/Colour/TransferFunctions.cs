namespace Tonematch.Colour;

/// <summary>
/// The published camera and display curves, one channel at a time. All are odd-symmetric below 0 (a negative signal
/// gives negative light), are not clamped above 1, and give NaN for NaN.
/// </summary>
public static class TransferFunctions
{
    /// <summary>Luminance of HDR reference white in cd/m2 (ITU-R BT.2408).</summary>
    public const double HdrReferenceWhite = 203;

    // ITU-R BT.2020-2 table 4: alpha and beta solve 4.5 beta = alpha beta^0.45 - alpha + 1 and
    // 4.5 = 0.45 alpha beta^-0.55. BT.709 prints them rounded (1.099, 0.018), which leaves a step of 2.5e-4 at the
    // knee; with the solution the curve is smooth and code -> light -> code is exact, and it differs from the
    // rounded curve by less than 1.5e-4 (a seventh of a 10-bit code).
    private const double Alpha = 1.09929682680944;
    private const double Beta = 0.018053968510807;

    // ITU-R BT.2100-2 table 5.
    private const double HlgA = 0.17883277;
    private const double HlgB = 1 - (4 * HlgA);
    private static readonly double s_hlgC = 0.5 - (HlgA * Math.Log(4 * HlgA));

    // SMPTE ST 2084, ITU-R BT.2100-2 table 4.
    private const double PqM1 = 2610.0 / 16384;
    private const double PqM2 = 2523.0 / 4096 * 128;
    private const double PqC1 = 3424.0 / 4096;
    private const double PqC2 = 2413.0 / 4096 * 32;
    private const double PqC3 = 2392.0 / 4096 * 32;

    private const double HlgPeak = 1000;
    private const double HlgSystemGamma = 1.2;

    /// <summary>Inverse OETF of BT.709 and BT.2020: signal to scene light.</summary>
    public static double Bt709ToScene(double code) => Odd(code, static c =>
        c < 4.5 * Beta ? c / 4.5 : Math.Pow((c + Alpha - 1) / Alpha, 1 / 0.45));

    /// <summary>OETF of BT.709 and BT.2020: scene light to signal.</summary>
    public static double Bt709FromScene(double light) => Odd(light, static l =>
        l < Beta ? 4.5 * l : (Alpha * Math.Pow(l, 0.45)) - (Alpha - 1));

    /// <summary>EOTF of BT.1886 with white 1 and black 0: gamma 2.4.</summary>
    public static double Bt1886ToDisplay(double code) => Odd(code, static c => Math.Pow(c, 2.4));

    /// <summary>Inverse of <see cref="Bt1886ToDisplay"/>.</summary>
    public static double Bt1886FromDisplay(double light) => Odd(light, static l => Math.Pow(l, 1 / 2.4));

    /// <summary>sRGB code value to linear light (IEC 61966-2-1).</summary>
    public static double SrgbToLinear(double code) => Odd(code, static c =>
        c <= 0.04045 ? c / 12.92 : Math.Pow((c + 0.055) / 1.055, 2.4));

    /// <summary>Linear light to sRGB code value (IEC 61966-2-1).</summary>
    public static double SrgbFromLinear(double light) => Odd(light, static l =>
        l <= 0.04045 / 12.92 ? 12.92 * l : (1.055 * Math.Pow(l, 1 / 2.4)) - 0.055);

    /// <summary>Inverse OETF of HLG: signal 0..1 to scene light 0..1 (ITU-R BT.2100-2 table 5).</summary>
    public static double HlgToScene(double code) => Odd(code, static c =>
        c <= 0.5 ? c * c / 3 : (Math.Exp((c - s_hlgC) / HlgA) + HlgB) / 12);

    /// <summary>OETF of HLG: scene light 0..1 to signal 0..1 (ITU-R BT.2100-2 table 5).</summary>
    public static double HlgFromScene(double light) => Odd(light, static l =>
        l <= 1.0 / 12 ? Math.Sqrt(3 * l) : (HlgA * Math.Log((12 * l) - HlgB)) + s_hlgC);

    /// <summary>PQ signal to light, 1 = 10 000 cd/m2 (SMPTE ST 2084).</summary>
    public static double PqToLinear(double code) => Odd(code, static c =>
    {
        double p = Math.Pow(c, 1 / PqM2);
        return Math.Pow(Math.Max(p - PqC1, 0) / (PqC2 - (PqC3 * p)), 1 / PqM1);
    });

    /// <summary>Light, 1 = 10 000 cd/m2, to PQ signal (SMPTE ST 2084).</summary>
    public static double PqFromLinear(double light) => Odd(light, static l =>
    {
        double p = Math.Pow(l, PqM1);
        return Math.Pow((PqC1 + (PqC2 * p)) / (1 + (PqC3 * p)), PqM2);
    });

    /// <summary>
    /// HLG EOTF with its OOTF for a 1000 cd/m2 display (ITU-R BT.2100-2 table 5, system gamma 1.2, black 0), relative
    /// to 203 cd/m2.
    /// </summary>
    public static DisplayRgb HlgToDisplay(CodeRgb code)
    {
        double r = HlgToScene(code.R), g = HlgToScene(code.G), b = HlgToScene(code.B);
        double y = Bt2020Luminance(r, g, b);
        double k = HlgPeak / HdrReferenceWhite * Math.Pow(Math.Max(y, 0), HlgSystemGamma - 1);
        return new DisplayRgb(k * r, k * g, k * b);
    }

    /// <summary>Inverse of <see cref="HlgToDisplay"/>.</summary>
    public static CodeRgb HlgFromDisplay(DisplayRgb light)
    {
        const double scale = HdrReferenceWhite / HlgPeak;
        double r = light.R * scale, g = light.G * scale, b = light.B * scale;
        double y = Bt2020Luminance(r, g, b);
        double k = y > 0 ? Math.Pow(y, (1 - HlgSystemGamma) / HlgSystemGamma) : 0;
        return new CodeRgb(HlgFromScene(k * r), HlgFromScene(k * g), HlgFromScene(k * b));
    }

    private static double Bt2020Luminance(double r, double g, double b) => (0.2627 * r) + (0.6780 * g) + (0.0593 * b);

    private static double Odd(double x, Func<double, double> f) => x < 0 ? -f(-x) : f(x);
}
