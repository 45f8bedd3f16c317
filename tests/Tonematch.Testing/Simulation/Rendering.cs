using Tonematch.Colour;

namespace Tonematch.Testing.Simulation;

/// <summary>One camera's picture style: linear BT.709 light, 1 at reference white, to code values 0..1.</summary>
/// <param name="Family">Which family.</param>
/// <param name="Strength">How strong, about 0.5..1.</param>
/// <param name="Turn">Where the hue twist begins, radians.</param>
public sealed record Rendering(RenderingFamily Family, double Strength, double Turn)
{
    /// <summary>Renders and clips to 0..1, as a recording does.</summary>
    public CodeRgb Apply(double r, double g, double b)
    {
        CodeRgb code = Family switch
        {
            RenderingFamily.Knee => Each(r, g, b, Knee),
            RenderingFamily.ContrastLiftedBlack => Each(r, g, b, Contrast),
            RenderingFamily.SaturationHueTwist => Twist(Each(r, g, b, Oetf)),
            RenderingFamily.Filmic => Filmic(r, g, b),
            _ => Each(r, g, b, Oetf),
        };
        return code.Clamped();
    }

    private static CodeRgb Each(double r, double g, double b, Func<double, double> f) => new(f(r), f(g), f(b));

    private static double Oetf(double light) => TransferFunctions.Bt709FromScene(light);

    // Straight up to 0.75 of code, then a smooth bend to a slope of 1 - 0.7 * strength.
    private double Knee(double light)
    {
        double code = Oetf(light), over = code - 0.75, slope = 1 - (0.7 * Strength);
        return over <= 0 ? code : 0.75 + (slope * over) + ((1 - slope) * 0.1 * (1 - Math.Exp(-over / 0.1)));
    }

    private double Contrast(double light)
    {
        double code = Math.Clamp(Oetf(light), 0, 1.2);
        double steep = 2 + (4 * Strength);
        double S(double x) => 1 / (1 + Math.Exp(-steep * (x - 0.45)));
        double curved = (S(code) - S(0)) / (S(1) - S(0));
        double mixed = ((1 - (0.6 * Strength)) * code) + (0.6 * Strength * curved);
        return (0.05 * Strength) + ((1 - (0.05 * Strength)) * mixed);
    }

    private CodeRgb Twist(CodeRgb c)
    {
        double y = (0.2126 * c.R) + (0.7152 * c.G) + (0.0722 * c.B);
        double cb = (c.B - y) / 1.8556, cr = (c.R - y) / 1.5748;
        double hue = Math.Atan2(cr, cb), chroma = Math.Sqrt((cb * cb) + (cr * cr));
        double turned = hue + (Strength * ((0.10 * Math.Sin(hue + Turn)) + (0.06 * Math.Sin((2 * hue) + (3 * Turn)))));
        double saturation = Turn > Math.PI ? 1 + (0.35 * Strength) : 1 - (0.25 * Strength);
        chroma *= saturation;
        (cb, cr) = (chroma * Math.Cos(turned), chroma * Math.Sin(turned));
        double red = y + (1.5748 * cr), blue = y + (1.8556 * cb);
        return new CodeRgb(red, (y - (0.2126 * red) - (0.0722 * blue)) / 0.7152, blue);
    }

    private CodeRgb Filmic(double r, double g, double b)
    {
        double mix = 0.15 * Strength, mean = ((r + g + b) / 3) * mix;
        double Curve(double x)
        {
            // A rational curve with toe and shoulder (common practice), scaled to keep middle grey near 0.4 of code.
            double l = Math.Max((x * (1 - mix)) + mean, 0) * 0.8;
            double film = l * ((2.51 * l) + 0.03) / ((l * ((2.43 * l) + 0.59)) + 0.14);
            double plain = TransferFunctions.SrgbFromLinear(l);
            return ((1 - Strength) * plain) + (Strength * TransferFunctions.SrgbFromLinear(film));
        }

        return Each(r, g, b, Curve);
    }
}
