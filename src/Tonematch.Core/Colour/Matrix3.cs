namespace Tonematch.Colour;

/// <summary>A 3x3 matrix, row by row; it multiplies column vectors.</summary>
public readonly record struct Matrix3(
    double M11, double M12, double M13,
    double M21, double M22, double M23,
    double M31, double M32, double M33)
{
    /// <summary>The identity matrix.</summary>
    public static Matrix3 Identity { get; } = Diagonal(1, 1, 1);

    /// <summary>The determinant.</summary>
    public double Determinant =>
        (M11 * ((M22 * M33) - (M23 * M32))) - (M12 * ((M21 * M33) - (M23 * M31))) + (M13 * ((M21 * M32) - (M22 * M31)));

    /// <summary>Whether there is an inverse: the determinant is finite and not 0.</summary>
    public bool HasInverse => MayDivideBy(Determinant);

    /// <summary>A matrix with these three values on its diagonal.</summary>
    public static Matrix3 Diagonal(double a, double b, double c) => new(a, 0, 0, 0, b, 0, 0, 0, c);

    /// <summary>Matrix times matrix: the right one acts first.</summary>
    public static Matrix3 operator *(Matrix3 l, Matrix3 r) => new(
        (l.M11 * r.M11) + (l.M12 * r.M21) + (l.M13 * r.M31),
        (l.M11 * r.M12) + (l.M12 * r.M22) + (l.M13 * r.M32),
        (l.M11 * r.M13) + (l.M12 * r.M23) + (l.M13 * r.M33),
        (l.M21 * r.M11) + (l.M22 * r.M21) + (l.M23 * r.M31),
        (l.M21 * r.M12) + (l.M22 * r.M22) + (l.M23 * r.M32),
        (l.M21 * r.M13) + (l.M22 * r.M23) + (l.M23 * r.M33),
        (l.M31 * r.M11) + (l.M32 * r.M21) + (l.M33 * r.M31),
        (l.M31 * r.M12) + (l.M32 * r.M22) + (l.M33 * r.M32),
        (l.M31 * r.M13) + (l.M32 * r.M23) + (l.M33 * r.M33));

    /// <summary>Matrix times column vector.</summary>
    public (double X, double Y, double Z) Times(double x, double y, double z) => (
        (M11 * x) + (M12 * y) + (M13 * z),
        (M21 * x) + (M22 * y) + (M23 * z),
        (M31 * x) + (M32 * y) + (M33 * z));

    /// <summary>The inverse.</summary>
    /// <exception cref="ArgumentException">The matrix is singular.</exception>
    public Matrix3 Inverse()
    {
        double d = Determinant;
        if (!MayDivideBy(d))
        {
            throw new ArgumentException("The matrix has no inverse.");
        }

        return new Matrix3(
            ((M22 * M33) - (M23 * M32)) / d, ((M13 * M32) - (M12 * M33)) / d, ((M12 * M23) - (M13 * M22)) / d,
            ((M23 * M31) - (M21 * M33)) / d, ((M11 * M33) - (M13 * M31)) / d, ((M13 * M21) - (M11 * M23)) / d,
            ((M21 * M32) - (M22 * M31)) / d, ((M12 * M31) - (M11 * M32)) / d, ((M11 * M22) - (M12 * M21)) / d);
    }

    private static bool MayDivideBy(double determinant) => determinant != 0 && double.IsFinite(determinant);
}
