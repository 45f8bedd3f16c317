using System.Runtime.Intrinsics;

namespace Tonematch.Colour;

/// <summary>A CIELAB colour (ISO/CIE 11664-4), relative to the white it was computed with.</summary>
/// <param name="L">Lightness L*, 0..100 (above 100 for highlights above reference white).</param>
/// <param name="A">a*: negative is green, positive is magenta; about -128..128.</param>
/// <param name="B">b*: negative is blue, positive is yellow; about -128..128.</param>
public readonly record struct Lab(double L, double A, double B)
{
    // ISO/CIE 11664-4: the cube root above (6/29)^3, a straight line below.
    private const double Delta = 6.0 / 29.0;

    /// <summary>Chroma C*ab, 0 or more.</summary>
    public double Chroma => Math.Sqrt((A * A) + (B * B));

    /// <summary>Hue angle hab in degrees, 0 up to (not including) 360; 0 for a neutral.</summary>
    public double HueDegrees
    {
        get
        {
            double degrees = Math.Atan2(B, A) * (180 / Math.PI);
            return degrees < 0 ? degrees + 360 : degrees;
        }
    }

    /// <summary>CIELAB of tristimulus values relative to <paramref name="white"/> (whose Y is 1).</summary>
    public static Lab FromXyz(Xyz xyz, Xyz white)
    {
        Vector256<double> t = Vector256.Create(xyz.X, xyz.Y, xyz.Z, 0) / Vector256.Create(white.X, white.Y, white.Z, 1);
        if (!ChannelRoots.CanDo(t))
        {
            return FromF(F(t[0]), F(t[1]), F(t[2]));
        }

        Vector256<double> line = Vector256.MultiplyAddEstimate(
            t, Vector256.Create(1 / (3 * Delta * Delta)), Vector256.Create(4.0 / 29.0));
        Vector256<double> f = Vector256.ConditionalSelect(
            Vector256.GreaterThan(t, Vector256.Create(Delta * Delta * Delta)), ChannelRoots.CubeRoot(t), line);
        return FromF(f[0], f[1], f[2]);
    }

    /// <summary>The tristimulus values of this colour, relative to <paramref name="white"/> (whose Y is 1).</summary>
    public Xyz ToXyz(Xyz white)
    {
        double fy = (L + 16) / 116, fx = fy + (A / 500), fz = fy - (B / 200);
        return new Xyz(white.X * InverseF(fx), white.Y * InverseF(fy), white.Z * InverseF(fz));
    }

    private static Lab FromF(double fx, double fy, double fz) => new((116 * fy) - 16, 500 * (fx - fy), 200 * (fy - fz));

    private static double F(double t) => t > Delta * Delta * Delta
        ? Math.Cbrt(t)
        : (t / (3 * Delta * Delta)) + (4.0 / 29.0);

    private static double InverseF(double f) => f > Delta
        ? f * f * f
        : 3 * Delta * Delta * (f - (4.0 / 29.0));
}
