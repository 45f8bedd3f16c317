using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// CIEDE2000 as a vector of three residuals, which least squares needs: its length is exactly the colour difference.
/// </summary>
/// <remarks>
/// CIEDE2000 itself is not smooth at 0 (it is a length), so squaring and differentiating it numerically near a good fit
/// is ill posed. Its square is a quadratic form in (dL', dC', dH'); with the rotation term R_T taken in by c + h R_T /
/// 2 and h sqrt(1 - R_T^2 / 4) it is a sum of three squares. dC' and dH' are taken as the components of the step in the
/// (a', b') plane along and across the mean hue: equal to eq. (9) and (11) of Sharma, Wu and Dalal (2005) to second
/// order, and smooth at grey, where hue is not. Scaling the vector to the exact length removes the small remaining
/// error. <see cref="Metric"/> is the derivative of the vector with the weighting functions held constant: the
/// Gauss-Newton matrix, accurate to first order in the residual.
/// </remarks>
internal static class PerceivedDifference
{
    private const double Degrees = Math.PI / 180;
    private const double Pow25To7 = 6103515625;

    /// <summary>
    /// The residual vector between <paramref name="wanted"/> and <paramref name="actual"/> and the nine derivatives of
    /// it by (L*, a*, b*) of <paramref name="actual"/>, row by row. Returns CIEDE2000.
    /// </summary>
    public static double Metric(Lab wanted, Lab actual, Span<double> residual, Span<double> metric)
    {
        double c1 = wanted.Chroma, c2 = actual.Chroma;
        double cBar = (c1 + c2) / 2;
        double c7 = Pow7(cBar);
        double g = 1 + (0.5 * (1 - Math.Sqrt(c7 / (c7 + Pow25To7))));
        double a1 = g * wanted.A, a2 = g * actual.A;
        double cp1 = Math.Sqrt((a1 * a1) + (wanted.B * wanted.B)), cp2 = Math.Sqrt((a2 * a2) + (actual.B * actual.B));
        double cMean = (cp1 + cp2) / 2;
        double ux = a1 + a2, uy = wanted.B + actual.B;
        double u = Math.Sqrt((ux * ux) + (uy * uy));
        (double cos, double sin) = u > 1e-12 ? (ux / u, uy / u) : (1.0, 0.0);
        double h = Math.Atan2(sin, cos) / Degrees;
        h = h < 0 ? h + 360 : h;
        double t = 1 - (0.17 * Math.Cos((h - 30) * Degrees)) + (0.24 * Math.Cos(2 * h * Degrees))
            + (0.32 * Math.Cos(((3 * h) + 6) * Degrees)) - (0.20 * Math.Cos(((4 * h) - 63) * Degrees));
        double turn = (h - 275) / 25;
        double cMean7 = Pow7(cMean);
        double rT = -Math.Sin(60 * Math.Exp(-turn * turn) * Degrees) * 2 * Math.Sqrt(cMean7 / (cMean7 + Pow25To7));
        double lMean = (wanted.L + actual.L) / 2, l50 = (lMean - 50) * (lMean - 50);
        double sL = 1 + (0.015 * l50 / Math.Sqrt(20 + l50)), sC = 1 + (0.045 * cMean), sH = 1 + (0.015 * cMean * t);

        // Rows: lightness; chroma with half the rotation term; hue with the rest.
        double half = rT / 2, rest = Math.Sqrt(Math.Max(0, 1 - (half * half)));
        metric[0] = 1 / sL;
        metric[1] = 0;
        metric[2] = 0;
        metric[3] = 0;
        metric[4] = g * ((cos / sC) - (half * sin / sH));
        metric[5] = (sin / sC) + (half * cos / sH);
        metric[6] = 0;
        metric[7] = -g * rest * sin / sH;
        metric[8] = rest * cos / sH;

        double dL = actual.L - wanted.L, dA = actual.A - wanted.A, dB = actual.B - wanted.B;
        double length = 0;
        for (int r = 0; r < 3; r++)
        {
            residual[r] = (metric[3 * r] * dL) + (metric[(3 * r) + 1] * dA) + (metric[(3 * r) + 2] * dB);
            length += residual[r] * residual[r];
        }

        double deltaE = DeltaE2000.Between(wanted, actual);
        length = Math.Sqrt(length);
        double scale = length > 1e-9 ? Math.Clamp(deltaE / length, 0.25, 4) : 1;
        for (int r = 0; r < 3; r++)
        {
            residual[r] *= scale;
        }

        foreach (ref double m in metric)
        {
            m *= scale;
        }

        return deltaE;
    }

    private static double Pow7(double x)
    {
        double x3 = x * x * x;
        return x3 * x3 * x;
    }
}
