using System.Numerics;
using Tonematch.Colour;

namespace Tonematch.Demo;

/// <summary>
/// The 24 patches of the chart in the demo, row by row from the top left. Chromaticities and luminances: C. S. McCamy,
/// H. Marcus and J. G. Davidson, 'A Color-Rendition Chart', Journal of Applied Photographic Engineering 2(3), 1976
/// (xyY, CIE illuminant C, 2 degree observer). The far red is each patch's measured reflectance at 710 nm as collected
/// by the colour-science project (BSD-3-Clause).
/// </summary>
internal static class DemoChart
{
    private static readonly (string Name, double X, double Y, double Luminance, double FarRed)[] s_patches =
    [
        ("dark skin", 0.4002, 0.3504, 0.1005, 0.305), ("light skin", 0.3773, 0.3446, 0.3582, 0.745),
        ("blue sky", 0.2470, 0.2514, 0.1933, 0.102), ("foliage", 0.3372, 0.4220, 0.1329, 0.311),
        ("blue flower", 0.2651, 0.2400, 0.2427, 0.523), ("bluish green", 0.2608, 0.3430, 0.4306, 0.250),
        ("orange", 0.5060, 0.4070, 0.3005, 0.633), ("purplish blue", 0.2110, 0.1750, 0.1200, 0.120),
        ("moderate red", 0.4533, 0.3058, 0.1977, 0.602), ("purple", 0.2845, 0.2020, 0.0656, 0.355),
        ("yellow green", 0.3800, 0.4887, 0.4429, 0.379), ("orange yellow", 0.4729, 0.4375, 0.4306, 0.698),
        ("blue", 0.1866, 0.1285, 0.0611, 0.051), ("green", 0.3046, 0.4782, 0.2339, 0.089),
        ("red", 0.5385, 0.3129, 0.1200, 0.730), ("yellow", 0.4480, 0.4703, 0.5910, 0.793),
        ("magenta", 0.3635, 0.2325, 0.1977, 0.807), ("cyan", 0.1958, 0.2519, 0.1977, 0.071),
        ("white 9.5", 0.3101, 0.3163, 0.9001, 0.886), ("neutral 8", 0.3101, 0.3163, 0.5910, 0.566),
        ("neutral 6.5", 0.3101, 0.3163, 0.3620, 0.339), ("neutral 5", 0.3101, 0.3163, 0.1977, 0.191),
        ("neutral 3.5", 0.3101, 0.3163, 0.0900, 0.086), ("black 2", 0.3101, 0.3163, 0.0313, 0.032),
    ];

    /// <summary>The patches' names.</summary>
    public static IReadOnlyList<string> Names { get; } = [.. s_patches.Select(p => p.Name)];

    /// <summary>Reflectances in the four bands; a patch outside the BT.709 primaries keeps 0.5 % in its darkest.</summary>
    public static IReadOnlyList<Vector4> Reflectances { get; } = [.. s_patches.Select(p => Reflectance(p.X, p.Y, p.Luminance, p.FarRed))];

    private static Vector4 Reflectance(double x, double y, double luminance, double farRed)
    {
        // Bradford cone responses (K. M. Lam 1985; the matrix as in CIE 160:2004), from illuminant C to D65.
        Matrix3 cones = new(0.8951, 0.2664, -0.1614, -0.7502, 1.7135, 0.0367, 0.0389, -0.0685, 1.0296);
        Xyz from = new Chromaticity(0.3101, 0.3163).ToXyz(), to = Chromaticity.D65.ToXyz();
        (double f1, double f2, double f3) = cones.Times(from.X, from.Y, from.Z);
        (double t1, double t2, double t3) = cones.Times(to.X, to.Y, to.Z);
        Xyz c = new Chromaticity(x, y).ToXyz();
        Matrix3 adapt = cones.Inverse() * Matrix3.Diagonal(t1 / f1, t2 / f2, t3 / f3) * cones;
        (double ax, double ay, double az) = adapt.Times(c.X * luminance, c.Y * luminance, c.Z * luminance);
        (double r, double g, double b) = SignalEncoding.Bt709.XyzToRgb.Times(ax, ay, az);
        return new Vector4((float)Math.Max(r, 0.005), (float)Math.Max(g, 0.005), (float)Math.Max(b, 0.005), (float)farRed);
    }
}
