namespace Tonematch.Colour;

/// <summary>
/// The Planckian locus (colours of black bodies) in CIE 1960 (u, v): M. Krystek, 'An algorithm to calculate correlated
/// colour temperature', Color Research and Application 10(1), 1985; within 1 000 K to 15 000 K.
/// </summary>
public static class PlanckianLocus
{
    /// <summary>The point of a colour temperature.</summary>
    /// <param name="mired">Reciprocal megakelvin (1e6 / kelvin), 66..1000.</param>
    public static (double U, double V) At(double mired)
    {
        double t = 1e6 / mired;
        return (
            (0.860117757 + (1.54118254e-4 * t) + (1.28641212e-7 * t * t)) / (1 + (8.42420235e-4 * t) + (7.08145163e-7 * t * t)),
            (0.317398726 + (4.22806245e-5 * t) + (4.20481691e-8 * t * t)) / (1 - (2.89741816e-5 * t) + (1.61456053e-7 * t * t)));
    }

    /// <summary>A white at a distance from the locus.</summary>
    /// <param name="mired">Reciprocal megakelvin, 66..1000.</param>
    /// <param name="duv">Perpendicular distance from the locus in (u, v); above 0 is greener.</param>
    public static Chromaticity Beside(double mired, double duv)
    {
        (double u, double v) = At(mired);
        (double u0, double v0) = At(mired - 0.5);
        (double u1, double v1) = At(mired + 0.5);

        // Warmer light has larger u; green is above the locus, where v is larger.
        double length = Math.Sqrt(((u1 - u0) * (u1 - u0)) + ((v1 - v0) * (v1 - v0)));
        (u, v) = (u - (duv * (v1 - v0) / length), v + (duv * (u1 - u0) / length));
        double d = (2 * u) - (8 * v) + 4;
        return new Chromaticity(3 * u / d, 2 * v / d);
    }
}
