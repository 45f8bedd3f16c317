namespace Tonematch.Colour;

/// <summary>
/// Chromatic adaptation: a 3x3 matrix on XYZ that maps colours seen under one white to those that look the same under
/// another (von Kries scaling of sharpened cone responses).
/// </summary>
/// <seealso href="docs/sources.md">[Lam1985], [CIE159], [Li2017]</seealso>
public static class Adaptation
{
    /// <summary>The Bradford cone responses ([Lam1985]), as used in ICC profiles.</summary>
    public static Matrix3 BradfordCones { get; } = new(
        0.8951, 0.2664, -0.1614,
        -0.7502, 1.7135, 0.0367,
        0.0389, -0.0685, 1.0296);

    /// <summary>The CAT02 cone responses of CIECAM02 ([CIE159]).</summary>
    public static Matrix3 Cat02Cones { get; } = new(
        0.7328, 0.4296, -0.1624,
        -0.7036, 1.6975, 0.0061,
        0.0030, 0.0136, 0.9834);

    /// <summary>The CAT16 cone responses of CIECAM16 ([Li2017]).</summary>
    public static Matrix3 Cat16Cones { get; } = new(
        0.401288, 0.650173, -0.051461,
        -0.250268, 1.204414, 0.045854,
        -0.002079, 0.048952, 0.953127);

    /// <summary>Full adaptation by the Bradford cone responses.</summary>
    /// <param name="from">The white the colours were seen under, Y = 1.</param>
    /// <param name="to">The white under which they should look the same, Y = 1.</param>
    /// <exception cref="ArgumentException">A white has a cone response that is not above 0.</exception>
    public static Matrix3 Bradford(Xyz from, Xyz to) => Between(BradfordCones, from, to);

    /// <summary>Full adaptation by the CAT02 cone responses.</summary>
    /// <inheritdoc cref="Bradford"/>
    public static Matrix3 Cat02(Xyz from, Xyz to) => Between(Cat02Cones, from, to);

    /// <summary>Full adaptation by the CAT16 cone responses.</summary>
    /// <inheritdoc cref="Bradford"/>
    public static Matrix3 Cat16(Xyz from, Xyz to) => Between(Cat16Cones, from, to);

    /// <summary>Full adaptation by any cone responses.</summary>
    /// <param name="cones">XYZ to cone responses.</param>
    /// <param name="from">The white the colours were seen under, Y = 1.</param>
    /// <param name="to">The white under which they should look the same, Y = 1.</param>
    /// <exception cref="ArgumentException">A white has a cone response that is not above 0, or the cones have no inverse.</exception>
    public static Matrix3 Between(Matrix3 cones, Xyz from, Xyz to)
    {
        (double l1, double m1, double s1) = cones.Times(from.X, from.Y, from.Z);
        (double l2, double m2, double s2) = cones.Times(to.X, to.Y, to.Z);
        if (!(l1 > 0 && m1 > 0 && s1 > 0 && l2 > 0 && m2 > 0 && s2 > 0))
        {
            throw new ArgumentException("A white must give cone responses above 0.");
        }

        return cones.Inverse() * Matrix3.Diagonal(l2 / l1, m2 / m1, s2 / s1) * cones;
    }
}
