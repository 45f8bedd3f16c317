using Tonematch.Colour;

namespace Tonematch.Core.Tests.Published;

/// <summary>CIEDE2000 word for word as G. Sharma, W. Wu and E. N. Dalal print it (2005), eq. (2) to (22), with all its angles.</summary>
internal static class Ciede2000AsPrinted
{
    private const double Degrees = Math.PI / 180;
    private const double Pow25To7 = 6103515625;

    public static double Between(Lab first, Lab second)
    {
        double cBar = (first.Chroma + second.Chroma) / 2; // (2), (3)
        double c7 = Math.Pow(cBar, 7);
        double g = 0.5 * (1 - Math.Sqrt(c7 / (c7 + Pow25To7))); // (4)
        double a1 = (1 + g) * first.A, a2 = (1 + g) * second.A; // (5)
        double c1 = Math.Sqrt((a1 * a1) + (first.B * first.B)); // (6)
        double c2 = Math.Sqrt((a2 * a2) + (second.B * second.B));
        double h1 = Hue(a1, first.B), h2 = Hue(a2, second.B); // (7)
        double deltaL = second.L - first.L; // (8)
        double deltaC = c2 - c1; // (9)
        bool grey = c1 * c2 == 0;
        double dh = h2 - h1;
        const double half = 180 + 1e-10; // see DeltaE2000
        double deltah = grey ? 0 : Math.Abs(dh) <= half ? dh : dh > 0 ? dh - 360 : dh + 360; // (10)
        double deltaH = 2 * Math.Sqrt(c1 * c2) * Math.Sin(deltah / 2 * Degrees); // (11)
        double lMean = (first.L + second.L) / 2; // (12)
        double cMean = (c1 + c2) / 2; // (13)
        double sum = h1 + h2;
        double hMean = grey ? sum : Math.Abs(dh) <= half ? sum / 2 : sum < 360 ? (sum + 360) / 2 : (sum - 360) / 2; // (14)
        double t = 1 - (0.17 * Math.Cos((hMean - 30) * Degrees)) + (0.24 * Math.Cos(2 * hMean * Degrees))
            + (0.32 * Math.Cos(((3 * hMean) + 6) * Degrees)) - (0.20 * Math.Cos(((4 * hMean) - 63) * Degrees)); // (15)
        double deltaTheta = 30 * Math.Exp(-Math.Pow((hMean - 275) / 25, 2)); // (16)
        double cMean7 = Math.Pow(cMean, 7);
        double rC = 2 * Math.Sqrt(cMean7 / (cMean7 + Pow25To7)); // (17)
        double l50 = (lMean - 50) * (lMean - 50);
        double sL = 1 + (0.015 * l50 / Math.Sqrt(20 + l50)); // (18)
        double sC = 1 + (0.045 * cMean); // (19)
        double sH = 1 + (0.015 * cMean * t); // (20)
        double rT = -Math.Sin(2 * deltaTheta * Degrees) * rC; // (21)
        double l = deltaL / sL, c = deltaC / sC, h = deltaH / sH;
        return Math.Sqrt(Math.Max(0, (l * l) + (c * c) + (h * h) + (rT * c * h))); // (22)
    }

    private static double Hue(double a, double b)
    {
        double degrees = a == 0 && b == 0 ? 0 : Math.Atan2(b, a) / Degrees;
        return degrees < 0 ? degrees + 360 : degrees;
    }
}
