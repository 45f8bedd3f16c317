using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Bench.Overlap;

/// <summary>A known difference between two cameras, put on one side of a real pair of photographs.</summary>
/// <param name="Name">What it does.</param>
/// <param name="Simple">One of the simple renderings, for which the target holds.</param>
/// <param name="Apply">Code values to code values, sRGB, not rounded.</param>
internal sealed record Rendering(string Name, bool Simple, Func<CodeRgb, CodeRgb> Apply)
{
    public static IReadOnlyList<Rendering> All { get; } =
    [
        new("none", true, c => c),
        new("half a stop under, green", true, Light(0.71 * 0.97, 0.71, 0.71 * 0.96)),
        new("2 stops under", true, Light(0.25, 0.25, 0.25)),
        new("2000 K warmer", true, Light(1.0, 0.82, 0.52)),
        new("1 stop under, 2000 K warmer", true, Light(0.5, 0.41, 0.26)),
        new("lift, gamma, gain", true, c => new(Lgg(c.R, 0.03, 1.10, 0.93), Lgg(c.G, 0.02, 1.05, 0.95), Lgg(c.B, 0.04, 0.95, 0.90))),
        new("less colour (0.7)", true, c => Saturate(c, 0.7)),
        new("more colour (1.2) and contrast", false, c => Saturate(new(S(c.R), S(c.G), S(c.B)), 1.2)),
        new("matrix", true, Mix),
        new("matrix, S-curve, warm, 1 stop under", false, c => Then(Mix(Light(0.55, 0.5, 0.36)(c)))),
    ];

    /// <summary>The whole picture, rounded to 8 bits as a recording would be.</summary>
    public Picture On(Picture p)
    {
        int n = p.Width * p.Height;
        float[] r = new float[n], g = new float[n], b = new float[n];
        for (int i = 0; i < n; i++)
        {
            CodeRgb c = Apply(new CodeRgb(p.R[i], p.G[i], p.B[i])).Clamped();
            (r[i], g[i], b[i]) = (Round(c.R), Round(c.G), Round(c.B));
        }

        return new Picture(p.Width, p.Height, r, g, b, p.Encoding);
    }

    private static float Round(double v) => (float)(Math.Round(v * 255) / 255);

    private static Func<CodeRgb, CodeRgb> Light(double r, double g, double b) => c =>
    {
        SceneRgb l = SignalEncoding.Srgb.ToScene(c);
        return SignalEncoding.Srgb.FromScene(new SceneRgb(r * l.R, g * l.G, b * l.B));
    };

    private static CodeRgb Mix(CodeRgb c)
    {
        SceneRgb l = SignalEncoding.Srgb.ToScene(c);
        Matrix3 m = new(0.82, 0.13, 0.03, 0.06, 0.86, 0.05, 0.02, 0.16, 0.76);
        (double r, double g, double b) = m.Times(l.R, l.G, l.B);
        return SignalEncoding.Srgb.FromScene(new SceneRgb(r, g, b));
    }

    private static CodeRgb Then(CodeRgb c) => new(S(c.R), S(c.G), S(c.B));

    private static double S(double x) => x + (0.12 * Math.Sin(2 * Math.PI * x) * -0.5);

    private static double Lgg(double x, double lift, double gamma, double gain) => Math.Pow(Math.Max(0, lift + ((gain - lift) * x)), 1 / gamma);

    private static CodeRgb Saturate(CodeRgb c, double k)
    {
        double y = (0.2126 * c.R) + (0.7152 * c.G) + (0.0722 * c.B);
        return new CodeRgb(y + (k * (c.R - y)), y + (k * (c.G - y)), y + (k * (c.B - y)));
    }
}
