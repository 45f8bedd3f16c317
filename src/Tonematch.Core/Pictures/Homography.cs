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

    /// <summary>The mapping back.</summary>
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

        // The eigenvector of A'A with the smallest eigenvalue is A's smallest right singular vector.
        double[] vectors = Diagonalise(a);
        (int least, double next) = (0, double.PositiveInfinity);
        for (int i = 1; i < Size; i++)
        {
            double value = a[i * (Size + 1)], smallest = a[least * (Size + 1)];
            (least, next) = value < smallest ? (i, smallest) : (least, Math.Min(next, value));
        }

        if (!(next > 1e-9))
        {
            return null;
        }

        double H(int i) => vectors[(i * Size) + least];
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

    // Jacobi's rotations, one pair of rows after the other (G. Golub and C. Van Loan, Matrix Computations, 4th ed.,
    // algorithm 8.5.3): the symmetric matrix becomes its eigenvalues, the columns of what is given back are the
    // eigenvectors. For so small a matrix a library takes longer to begin.
    private static double[] Diagonalise(double[] a)
    {
        const int mostSweeps = 30;
        double[] v = new double[Size * Size];
        double all = 0;
        for (int i = 0; i < Size; i++)
        {
            v[i * (Size + 1)] = 1;
            all += a[i * (Size + 1)];
        }

        for (int sweep = 0; sweep < mostSweeps; sweep++)
        {
            double off = 0;
            for (int p = 0; p < Size; p++)
            {
                for (int q = p + 1; q < Size; q++)
                {
                    off += Math.Abs(a[(p * Size) + q]);
                    Rotate(a, v, p, q);
                }
            }

            if (off <= 1e-13 * all)
            {
                break;
            }
        }

        return v;
    }

    private static void Rotate(double[] a, double[] v, int p, int q)
    {
        double apq = a[(p * Size) + q];
        if (apq == 0)
        {
            return;
        }

        double tau = (a[q * (Size + 1)] - a[p * (Size + 1)]) / (2 * apq);
        double t = (tau >= 0 ? 1 : -1) / (Math.Abs(tau) + Math.Sqrt(1 + (tau * tau))), c = 1 / Math.Sqrt(1 + (t * t)), s = t * c;
        for (int k = 0; k < Size; k++)
        {
            (double kp, double kq) = (a[(k * Size) + p], a[(k * Size) + q]);
            (a[(k * Size) + p], a[(k * Size) + q]) = ((c * kp) - (s * kq), (s * kp) + (c * kq));
            (kp, kq) = (v[(k * Size) + p], v[(k * Size) + q]);
            (v[(k * Size) + p], v[(k * Size) + q]) = ((c * kp) - (s * kq), (s * kp) + (c * kq));
        }

        for (int k = 0; k < Size; k++)
        {
            (double pk, double qk) = (a[(p * Size) + k], a[(q * Size) + k]);
            (a[(p * Size) + k], a[(q * Size) + k]) = ((c * pk) - (s * qk), (s * pk) + (c * qk));
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
