namespace Tonematch.Colour;

/// <summary>
/// ICtCp of ITU-R BT.2100: a colour in opponent channels on a display of known luminance, designed for high dynamic
/// range.
/// </summary>
/// <param name="I">Intensity, 0..1.</param>
/// <param name="Ct">Blue-yellow (tritan), about -0.5..0.5.</param>
/// <param name="Cp">Red-green (protan), about -0.5..0.5.</param>
/// <seealso href="docs/sources.md">[BT.2100] table 7</seealso>
public readonly record struct ICtCp(double I, double Ct, double Cp)
{
    /// <summary>From display light in BT.2020 primaries, by the PQ form.</summary>
    /// <param name="r">Red, cd/m2, 0..10 000.</param>
    /// <param name="g">Green, cd/m2.</param>
    /// <param name="b">Blue, cd/m2.</param>
    /// <remarks>
    /// Negative light (out of BT.2020) is treated odd-symmetrically, as in <see cref="TransferFunctions"/>.
    /// </remarks>
    /// <example>(0.45620519, 0.03081071, 0.04091952) gives (0.07351364, 0.00475253, 0.09351596).</example>
    public static ICtCp FromLuminousBt2020(double r, double g, double b)
    {
        (double l, double m, double s) = Cones(r / 10000, g / 10000, b / 10000);
        l = TransferFunctions.PqFromLinear(l);
        m = TransferFunctions.PqFromLinear(m);
        s = TransferFunctions.PqFromLinear(s);
        return new ICtCp(
            0.5 * (l + m),
            ((6610 * l) - (13613 * m) + (7003 * s)) / 4096,
            ((17933 * l) - (17390 * m) - (543 * s)) / 4096);
    }

    /// <summary>From HLG scene light (0..1, BT.2020 primaries), by the HLG form of BT.2100-2.</summary>
    /// <remarks>The first editions of BT.2100 used the PQ form's second matrix for HLG too.</remarks>
    /// <example>(0.45620519, 0.03081071, 0.04091952) gives (0.62567899, -0.0198449, 0.35911259).</example>
    public static ICtCp FromHlgScene(SceneRgb light)
    {
        (double l, double m, double s) = Cones(light.R, light.G, light.B);
        l = TransferFunctions.HlgFromScene(l);
        m = TransferFunctions.HlgFromScene(m);
        s = TransferFunctions.HlgFromScene(s);
        return new ICtCp(
            0.5 * (l + m),
            ((3625 * l) - (7465 * m) + (3840 * s)) / 4096,
            ((9500 * l) - (9212 * m) - (288 * s)) / 4096);
    }

    private static (double L, double M, double S) Cones(double r, double g, double b) => (
        ((1688 * r) + (2146 * g) + (262 * b)) / 4096,
        ((683 * r) + (2951 * g) + (462 * b)) / 4096,
        ((99 * r) + (309 * g) + (3688 * b)) / 4096);
}
