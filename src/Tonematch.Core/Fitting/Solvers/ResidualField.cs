using Tonematch.Colour;
using Tonematch.Numerics;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// A smooth field of small CIELAB shifts over CIELAB that models a parametric kind's residuals. It goes to zero away
/// from measured colours.
/// </summary>
/// <remarks>
/// Kriging (C. E. Rasmussen and C. K. I. Williams, Gaussian Processes for Machine Learning, 2006, eq. 2.23) with a
/// Gaussian covariance of <see cref="Reach"/>: the field that minimises the weighted squared misfit plus the field's own
/// roughness, which is the continuous form of a grid with penalised differences. For n pairs it is an n x n system
/// instead of one over 3 x 33^3 nodes; the grid is filled afterwards.
/// </remarks>
internal sealed class ResidualField
{
    /// <summary>Distance in CIELAB over which the field keeps 61 % of its value (standard deviation of the covariance).</summary>
    public const double Reach = 30;

    // CIEDE2000 reduces a step with increasing chroma: S_C = 1 + 0.045 C', S_H = 1 + 0.015 C' T. This is the mean of
    // both.
    private const double ChromaScale = 0.03;

    private readonly Lab[] _at;
    private readonly double[] _weights;

    private ResidualField(Lab[] at, double[] weights) => (_at, _weights) = (at, weights);

    /// <summary>Fits the field.</summary>
    /// <param name="at">Places.</param>
    /// <param name="shift">Wanted shifts there, same order.</param>
    /// <param name="nugget">Per place: the variance of its noise as a multiple of the field's variance, above 0.</param>
    public static ResidualField Fit(IReadOnlyList<Lab> at, IReadOnlyList<Lab> shift, IReadOnlyList<double> nugget)
    {
        int n = at.Count;
        double[] k = new double[n * n], flat = new double[3 * n], side = new double[n];
        for (int i = 0; i < n; i++)
        {
            for (int j = 0; j < i; j++)
            {
                k[(i * n) + j] = Kernel(at[i], at[j]);
            }

            k[(i * n) + i] = 1 + nugget[i];
        }

        CholeskyFactor factor = new(n, n);
        if (!factor.Decompose(k, _ => 1e-9))
        {
            throw new InvalidOperationException("A covariance with noise on its diagonal has a Cholesky factor.");
        }

        for (int c = 0; c < 3; c++)
        {
            for (int i = 0; i < n; i++)
            {
                side[i] = (c == 0 ? shift[i].L : c == 1 ? shift[i].A : shift[i].B) / Size(at[i]);
            }

            factor.Solve(side);
            for (int i = 0; i < n; i++)
            {
                flat[(3 * i) + c] = side[i];
            }
        }

        return new ResidualField([.. at], flat);
    }

    /// <summary>The shift at a place.</summary>
    public Lab At(Lab place)
    {
        double l = 0, a = 0, b = 0;
        for (int i = 0; i < _at.Length; i++)
        {
            double k = Kernel(_at[i], place);
            l += k * _weights[3 * i];
            a += k * _weights[(3 * i) + 1];
            b += k * _weights[(3 * i) + 2];
        }

        double s = Size(place);
        return new Lab(s * l, s * a, s * b);
    }

    /// <summary>How much larger in CIELAB a shift of one CIEDE2000 is here than at grey.</summary>
    public static double Size(Lab place) => 1 + (ChromaScale * Math.Min(place.Chroma, 150));

    private static double Kernel(Lab x, Lab y)
    {
        double l = x.L - y.L, a = x.A - y.A, b = x.B - y.B;
        return Math.Exp(-((l * l) + (a * a) + (b * b)) / (2 * Reach * Reach));
    }
}
