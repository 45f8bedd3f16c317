using Tonematch.Colour;

namespace Tonematch.Matching.Words;

/// <summary>How far one white lies from another: along the Planckian locus, and across it.</summary>
/// <param name="Mired">Difference in reciprocal megakelvin; above 0 is warmer (yellower).</param>
/// <param name="Green">Difference of the distance from the Planckian locus in CIE 1960 (u, v); above 0 is greener, below 0 more magenta.</param>
public readonly record struct WhiteShift(double Mired, double Green)
{
    /// <summary>How <paramref name="white"/> differs from <paramref name="from"/>.</summary>
    public static WhiteShift Between(Chromaticity white, Chromaticity from)
    {
        (double mired, double green) = Place(white);
        (double mired0, double green0) = Place(from);
        return new WhiteShift(mired - mired0, green - green0);
    }

    /// <summary>
    /// Correlated colour temperature in mired (1e6 / kelvin, 66..1000) and signed distance from the Planckian locus:
    /// the nearest point of <see cref="PlanckianLocus"/> in CIE 1960 (u, v).
    /// </summary>
    public static (double Mired, double Duv) Place(Chromaticity c)
    {
        double d = (-2 * c.X) + (12 * c.Y) + 3, u = 4 * c.X / d, v = 6 * c.Y / d;
        double Distance(double mired)
        {
            (double pu, double pv) = PlanckianLocus.At(mired);
            return ((u - pu) * (u - pu)) + ((v - pv) * (v - pv));
        }

        // Golden section over the formula's range, 15 000 K to 1 000 K: the distance has one minimum there.
        double low = 1e6 / 15000, high = 1000, ratio = (Math.Sqrt(5) - 1) / 2;
        for (int i = 0; i < 60; i++)
        {
            double a = high - (ratio * (high - low)), b = low + (ratio * (high - low));
            (low, high) = Distance(a) < Distance(b) ? (low, b) : (a, high);
        }

        double nearest = (low + high) / 2;
        (_, double locusV) = PlanckianLocus.At(nearest);
        return (nearest, Math.Sqrt(Distance(nearest)) * (v >= locusV ? 1 : -1));
    }
}
