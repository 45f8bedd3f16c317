using System.Numerics;
using Lanes = System.Numerics.Vector<double>;

namespace Tonematch.Numerics;

/// <summary>
/// The Cholesky factor of a small symmetric matrix, in reusable memory: the fit makes thousands of them, while
/// MathNet's allocates each one and starts threads above 64 rows.
/// </summary>
/// <param name="n">Rows.</param>
/// <param name="stride">Values per row in memory: a multiple of the vector length, at least n.</param>
internal sealed class CholeskyFactor(int n, int stride)
{
    /// <summary>The smallest stride for a number of rows.</summary>
    public static int StrideOf(int n) => (n + Lanes.Count - 1) / Lanes.Count * Lanes.Count;

    // Lower triangle, row by row; zero above the diagonal, so that whole vectors can be multiplied.
    private readonly double[] _l = new double[n * stride];

    /// <summary>Factors the matrix with the given lower triangle and a value added to each diagonal element.</summary>
    /// <returns>False if it is not positive definite in floating point.</returns>
    public bool Decompose(ReadOnlySpan<double> lower, Func<double, double> added)
    {
        for (int i = 0; i < n; i++)
        {
            Span<double> row = _l.AsSpan(i * stride, stride);
            row.Clear();
            for (int j = 0; j <= i; j++)
            {
                double a = lower[(i * stride) + j];
                if (j == i)
                {
                    a += added(a);
                }

                a -= Dot(row, _l.AsSpan(j * stride, stride), j);
                if (j < i)
                {
                    row[j] = a / _l[(j * stride) + j];
                }
                else if (a > 0)
                {
                    row[j] = Math.Sqrt(a);
                }
                else
                {
                    return false; // NaN as well
                }
            }
        }

        return true;
    }

    /// <summary>Solves in place.</summary>
    public void Solve(Span<double> b)
    {
        Forward(b, 0);
        for (int i = n - 1; i >= 0; i--)
        {
            b[i] /= _l[(i * stride) + i];
            for (int k = 0; k < i; k++)
            {
                b[k] -= _l[(i * stride) + k] * b[i];
            }
        }
    }

    /// <summary>The diagonal of the inverse: the squared length of each column of the factor's inverse.</summary>
    public double[] InverseDiagonal()
    {
        double[] diagonal = new double[n], column = new double[n];
        for (int j = 0; j < n; j++)
        {
            Array.Clear(column);
            column[j] = 1;
            Forward(column, j);
            for (int i = j; i < n; i++)
            {
                diagonal[j] += column[i] * column[i];
            }
        }

        return diagonal;
    }

    // L x = b from row 'first' on; b is zero before it.
    private void Forward(Span<double> b, int first)
    {
        for (int i = first; i < n; i++)
        {
            double a = b[i];
            for (int k = first; k < i; k++)
            {
                a -= _l[(i * stride) + k] * b[k];
            }

            b[i] = a / _l[(i * stride) + i];
        }
    }

    // The first 'length' products; beyond that, row j of the factor is zero up to whole vectors.
    private static double Dot(ReadOnlySpan<double> x, ReadOnlySpan<double> y, int length)
    {
        Lanes sum = Lanes.Zero;
        int k = 0;
        for (; k + Lanes.Count <= length; k += Lanes.Count)
        {
            sum = Vector.FusedMultiplyAdd(new Lanes(x[k..]), new Lanes(y[k..]), sum);
        }

        double rest = Vector.Sum(sum);
        for (; k < length; k++)
        {
            rest += x[k] * y[k];
        }

        return rest;
    }
}
