namespace Tonematch.Colour.DeltaE;

/// <summary>The CIEDE2000 colour difference ([ISO/CIE 11664-6]), with kL = kC = kH = 1.</summary>
/// <remarks>
/// Equation numbers are those of [Sharma2005] in docs/sources.md. Angles are computed only where the formula needs
/// them, which is twice as fast and more accurate for close hues; the tests compare it with the printed equations.
/// </remarks>
public static class DeltaE2000
{
    private const double Degrees = Math.PI / 180;
    private const double Pow25To7 = 6103515625;

    // 1e-10 degrees.
    private const double OpposedMargin = 1e-10 * Degrees;

    // cos and sin of the constant angles in eq. (15).
    private static readonly (double Sin, double Cos) s_30 = Math.SinCos(30 * Degrees);
    private static readonly (double Sin, double Cos) s_6 = Math.SinCos(6 * Degrees);
    private static readonly (double Sin, double Cos) s_63 = Math.SinCos(63 * Degrees);

    /// <summary>
    /// The difference between two colours: 0 or more, symmetric. Discontinuous where the hues differ by 180 degrees.
    /// NaN in any channel gives NaN.
    /// </summary>
    /// <example>Lab(50, 2.6772, -79.7751) against Lab(50, 0, -82.7485) gives 2.0425.</example>
    public static double Between(Lab first, Lab second)
    {
        Terms t = new(first, second);
        double l = t.DeltaL / t.SL, c = t.DeltaC / t.SC, h = t.DeltaH / t.SH;
        return Math.Sqrt(Math.Max(0, (l * l) + (c * c) + (h * h) + (t.RT * c * h))); // eq. (22)
    }

    /// <summary>
    /// The same difference split into lightness, chroma and hue of the second colour relative to the first; the squares
    /// of the parts add up to the square of the whole.
    /// </summary>
    /// <remarks>
    /// The rotation term R_T couples chroma and hue (in the blues); rotating the two axes by the angle at which they
    /// are independent removes it ([Nobbs2002]; the formulas from memory, the sum is tested). Elsewhere R_T is almost 0
    /// and the parts are simply Delta L'/S_L, Delta C'/S_C and Delta H'/S_H.
    /// </remarks>
    public static DeltaEParts Parts(Lab first, Lab second)
    {
        Terms t = new(first, second);
        double l = t.DeltaL / t.SL;

        // c^2 + h^2 + R_T c h is a quadratic form in (Delta C', Delta H'). Its principal axes lie at the angle phi; the
        // axis nearer to chroma keeps its name.
        double cc = 1 / (t.SC * t.SC), hh = 1 / (t.SH * t.SH), ch = t.RT / (t.SC * t.SH);
        double difference = cc - hh;
        double phi = ch == 0 ? 0
            : 0.5 * Math.Atan2(difference < 0 ? -ch : ch, Math.Abs(difference));
        (double sin, double cos) = Math.SinCos(phi);
        double alongC = (t.DeltaC * cos) + (t.DeltaH * sin), alongH = (t.DeltaH * cos) - (t.DeltaC * sin);
        double weightC = (cc * cos * cos) + (ch * sin * cos) + (hh * sin * sin);
        double weightH = (hh * cos * cos) - (ch * sin * cos) + (cc * sin * sin);

        // |R_T| is below 2, so the form is positive; the guard only handles rounding.
        return new DeltaEParts(
            l, alongC * Math.Sqrt(Math.Max(0, weightC)), alongH * Math.Sqrt(Math.Max(0, weightH)));
    }

    private static double Pow7(double x)
    {
        double x3 = x * x * x;
        return x3 * x3 * x;
    }

    /// <summary>
    /// The first of two opposed hues has the smaller angle, counted from 0 up to 360 degrees: the sign of eq. (8) there.
    /// </summary>
    private static bool IsSmallerAngle(double a1, double b1, double a2, double b2)
    {
        bool upper1 = b1 > 0 || (b1 == 0 && a1 >= 0), upper2 = b2 > 0 || (b2 == 0 && a2 >= 0);
        return upper1 == upper2 ? (upper1 ? a1 > a2 : a1 < a2) : upper1;
    }

    /// <summary>All terms of eq. (2) to (21).</summary>
    private readonly ref struct Terms
    {
        public readonly double DeltaL, DeltaC, DeltaH, SL, SC, SH, RT;

        public Terms(Lab first, Lab second)
        {
            double cBar = (first.Chroma + second.Chroma) / 2; // eq. (2), (3)
            double c7 = Pow7(cBar);
            double g = 0.5 * (1 - Math.Sqrt(c7 / (c7 + Pow25To7))); // eq. (4)
            double a1 = (1 + g) * first.A, a2 = (1 + g) * second.A; // eq. (5)
            double c1 = Math.Sqrt((a1 * a1) + (first.B * first.B)); // eq. (6)
            double c2 = Math.Sqrt((a2 * a2) + (second.B * second.B));
            double b1 = first.B, b2 = second.B;
            DeltaL = second.L - first.L; // eq. (8)
            DeltaC = c2 - c1; // eq. (9)

            // The rotation from the first hue to the second, by the cross and the dot product instead of eq. (7): no
            // angles. Exactly 180 degrees belongs to the first case of eq. (10) and (14); the margin of 1e-10 degrees
            // prevents a rounding error from deciding otherwise (pair 14 of the published table).
            double c1c2 = c1 * c2, cross = (a1 * b2) - (a2 * b1), dot = (a1 * a2) + (b1 * b2);
            double x, y;
            if (dot >= 0 || double.IsNaN(dot))
            {
                // eq. (11), 2 sqrt(C1 C2) sin(dh / 2), in the form without cancellation for close hues; 0 for a grey.
                DeltaH = c1c2 == 0 ? 0 : cross / Math.Sqrt((c1c2 + dot) / 2);

                // eq. (14): the mean hue as a direction. A grey takes the other colour's hue.
                double w1 = c1 == 0 ? 1 : c1, w2 = c2 == 0 ? 1 : c2;
                (x, y) = ((a1 * w2) + (a2 * w1), (b1 * w2) + (b2 * w1));
            }
            else
            {
                bool forward = Math.Abs(cross) <= OpposedMargin * c1c2 ? IsSmallerAngle(a1, b1, a2, b2) : cross > 0;
                double sign = forward ? 1 : -1;
                DeltaH = sign * Math.Sqrt(2 * (c1c2 - dot));
                (x, y) = (sign * ((b2 * c1) - (b1 * c2)), sign * ((a1 * c2) - (a2 * c1)));
            }

            double length = Math.Sqrt((x * x) + (y * y));
            (double cos, double sin) = length > 0 ? (x / length, y / length) : length == 0 ? (1, 0) : (length, length);
            double lMean = (first.L + second.L) / 2; // eq. (12)
            double cMean = (c1 + c2) / 2; // eq. (13)

            // eq. (15): 1 - 0.17 cos(h - 30) + 0.24 cos(2h) + 0.32 cos(3h + 6) - 0.20 cos(4h - 63), by
            // multiple-angle formulas.
            double cos2 = (cos * cos) - (sin * sin), sin2 = 2 * sin * cos;
            double cos3 = (cos2 * cos) - (sin2 * sin), sin3 = (sin2 * cos) + (cos2 * sin);
            double cos4 = (cos2 * cos2) - (sin2 * sin2), sin4 = 2 * sin2 * cos2;
            double t = 1 - (0.17 * ((cos * s_30.Cos) + (sin * s_30.Sin))) + (0.24 * cos2)
                + (0.32 * ((cos3 * s_6.Cos) - (sin3 * s_6.Sin))) - (0.20 * ((cos4 * s_63.Cos) + (sin4 * s_63.Sin)));
            double l50 = (lMean - 50) * (lMean - 50);
            SL = 1 + (0.015 * l50 / Math.Sqrt(20 + l50)); // eq. (18)
            SC = 1 + (0.045 * cMean); // eq. (19)
            SH = 1 + (0.015 * cMean * t); // eq. (20)

            if (sin >= 0 && cos > -0.4)
            {
                // More than 150 degrees from 275: exp(-36) is below the rounding error of the sums it enters.
                RT = 0;
                return;
            }

            double hMean = Math.Atan2(sin, cos) / Degrees;
            double turn = ((hMean < 0 ? hMean + 360 : hMean) - 275) / 25;
            double deltaTheta = 30 * Math.Exp(-turn * turn); // eq. (16)
            double cMean7 = Pow7(cMean);
            double rC = 2 * Math.Sqrt(cMean7 / (cMean7 + Pow25To7)); // eq. (17)
            RT = -Math.Sin(2 * deltaTheta * Degrees) * rC; // eq. (21)
        }
    }
}
