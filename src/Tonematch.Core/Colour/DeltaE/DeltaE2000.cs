namespace Tonematch.Colour.DeltaE;

/// <summary>The CIEDE2000 colour difference (ISO/CIE 11664-6), with kL = kC = kH = 1.</summary>
/// <remarks>
/// Equation numbers are those of Sharma, Wu and Dalal, 'The CIEDE2000 color-difference formula: implementation notes,
/// supplementary test data, and mathematical observations', Color Research and Application 30(1), 2005.
/// </remarks>
public static class DeltaE2000
{
    private const double Degrees = Math.PI / 180;
    private const double Pow25To7 = 6103515625;

    /// <summary>
    /// The difference between two colours: 0 or more, symmetric. Discontinuous where the hues differ by 180 degrees.
    /// NaN in any channel gives NaN.
    /// </summary>
    /// <example>Lab(50, 2.6772, -79.7751) against Lab(50, 0, -82.7485) gives 2.0425.</example>
    public static double Between(Lab first, Lab second)
    {
        double cBar = (first.Chroma + second.Chroma) / 2; // eq. (2), (3)
        double c7 = Math.Pow(cBar, 7);
        double g = 0.5 * (1 - Math.Sqrt(c7 / (c7 + Pow25To7))); // eq. (4)
        double a1 = (1 + g) * first.A, a2 = (1 + g) * second.A; // eq. (5)
        double c1 = Math.Sqrt((a1 * a1) + (first.B * first.B)); // eq. (6)
        double c2 = Math.Sqrt((a2 * a2) + (second.B * second.B));
        double h1 = Hue(a1, first.B), h2 = Hue(a2, second.B); // eq. (7)

        double deltaL = second.L - first.L; // eq. (8)
        double deltaC = c2 - c1; // eq. (9)
        bool grey = c1 * c2 == 0;
        double dh = h2 - h1;
        // Exactly 180 degrees belongs to the first case of eq. (10) and (14); the margin keeps one bit of atan2 from
        // deciding otherwise (pair 14 of the published table).
        const double half = 180 + 1e-10;
        double deltah = grey ? 0 : Math.Abs(dh) <= half ? dh : dh > 0 ? dh - 360 : dh + 360; // eq. (10)
        double deltaH = 2 * Math.Sqrt(c1 * c2) * Math.Sin(deltah / 2 * Degrees); // eq. (11)

        double lMean = (first.L + second.L) / 2; // eq. (12)
        double cMean = (c1 + c2) / 2; // eq. (13)
        double sum = h1 + h2;
        double hMean = grey ? sum : Math.Abs(dh) <= half ? sum / 2 : sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2; // eq. (14)
        double t = 1 - (0.17 * Math.Cos((hMean - 30) * Degrees)) + (0.24 * Math.Cos(2 * hMean * Degrees))
            + (0.32 * Math.Cos(((3 * hMean) + 6) * Degrees)) - (0.20 * Math.Cos(((4 * hMean) - 63) * Degrees)); // eq. (15)
        double turn = (hMean - 275) / 25;
        double deltaTheta = 30 * Math.Exp(-turn * turn); // eq. (16)
        double cMean7 = Math.Pow(cMean, 7);
        double rC = 2 * Math.Sqrt(cMean7 / (cMean7 + Pow25To7)); // eq. (17)
        double l50 = (lMean - 50) * (lMean - 50);
        double sL = 1 + (0.015 * l50 / Math.Sqrt(20 + l50)); // eq. (18)
        double sC = 1 + (0.045 * cMean); // eq. (19)
        double sH = 1 + (0.015 * cMean * t); // eq. (20)
        double rT = -Math.Sin(2 * deltaTheta * Degrees) * rC; // eq. (21)

        double l = deltaL / sL, c = deltaC / sC, h = deltaH / sH;
        return Math.Sqrt(Math.Max(0, (l * l) + (c * c) + (h * h) + (rT * c * h))); // eq. (22)
    }

    private static double Hue(double a, double b)
    {
        if (a == 0 && b == 0)
        {
            return 0;
        }

        double degrees = Math.Atan2(b, a) / Degrees;
        return degrees < 0 ? degrees + 360 : degrees;
    }
}
