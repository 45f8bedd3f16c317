using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;
using Tonematch.Colour;

namespace Tonematch.Pictures;

/// <summary>A perspective mapping of one plane onto another (8 degrees of freedom).</summary>
/// <param name="Matrix">Maps (x, y, 1) to (u w, v w, w).</param>
public sealed record Homography(Matrix3 Matrix)
{
    private const int Size = 9;

    /// <summary>Maps a point.</summary>
    public PicturePoint Map(double x, double y)
    {
        (double u, double v, double w) = Matrix.Times(x, y, 1);
        return new PicturePoint(u / w, v / w);
    }

    /// <summary>The inverse mapping.</summary>
    /// <exception cref="ArgumentException">The mapping is degenerate.</exception>
    public Homography Inverse() => new(Matrix.Inverse());

    /// <summary>
    /// The mapping that takes each <paramref name="from"/> point nearest to its <paramref name="to"/> point: exact for
    /// four, least squares of the algebraic error on normalised coordinates for more (the normalised direct linear
    /// transform; Hartley and Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2). Null when the points do not
    /// determine one (three on a line, coinciding points).
    /// </summary>
    /// <exception cref="ArgumentException">Fewer than four points, or the lengths differ.</exception>
    public static Homography? Fit(ReadOnlySpan<PicturePoint> from, ReadOnlySpan<PicturePoint> to)
    {
        if (from.Length < 4 || from.Length != to.Length)
        {
            throw new ArgumentException("At least four pairs of points are needed.");
        }

        Matrix3 nf = Normalising(from), nt = Normalising(to);
        double[] a = new double[Size * Size];
        for (int i = 0; i < from.Length; i++)
        {
            (double x, double y, _) = nf.Times(from[i].X, from[i].Y, 1);
            (double u, double v, _) = nt.Times(to[i].X, to[i].Y, 1);
            Add(a, [x, y, 1, 0, 0, 0, -u * x, -u * y, -u]);
            Add(a, [0, 0, 0, x, y, 1, -v * x, -v * y, -v]);
        }

        // The eigenvector of A'A with the smallest eigenvalue is A's smallest right singular vector; eigenvalues
        // ascend.
        Evd<double> evd = Matrix<double>.Build.Dense(Size, Size, a).Evd(Symmetricity.Symmetric);
        if (!(evd.EigenValues[1].Real > 1e-9))
        {
            return null;
        }

        double H(int i) => evd.EigenVectors[i, 0];
        Matrix3 normalised = new(H(0), H(1), H(2), H(3), H(4), H(5), H(6), H(7), H(8));
        return Math.Abs(normalised.Determinant) < 1e-9 ? null : new Homography(nt.Inverse() * normalised * nf);
    }

    private static void Add(double[] a, ReadOnlySpan<double> row)
    {
        for (int r = 0; r < Size; r++)
        {
            for (int c = 0; c < Size; c++)
            {
                a[(r * Size) + c] += row[r] * row[c];
            }
        }
    }

    // Centroid to the origin, mean distance to the square root of two (Hartley and Zisserman 4.4.4).
    private static Matrix3 Normalising(ReadOnlySpan<PicturePoint> points)
    {
        double mx = 0, my = 0, distance = 0;
        foreach (PicturePoint p in points)
        {
            (mx, my) = (mx + (p.X / points.Length), my + (p.Y / points.Length));
        }

        foreach (PicturePoint p in points)
        {
            distance += Math.Sqrt(((p.X - mx) * (p.X - mx)) + ((p.Y - my) * (p.Y - my))) / points.Length;
        }

        double s = distance > 0 ? Math.Sqrt(2) / distance : 1;
        return new Matrix3(s, 0, -s * mx, 0, s, -s * my, 0, 0, 1);
    }
}
