using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;
using Tonematch.Colour;
using Lanes = System.Numerics.Vector<double>;

namespace Tonematch.Fitting;

/// <summary>
/// Minimises sum_i w_i rho(dE_i(p)) + sum_j q_j^2 (p_j - c_j)^2 over the n numbers p of a
/// <see cref="ParametricModel"/>, where dE is CIEDE2000 as seen and rho Huber's loss.
/// </summary>
/// <remarks>
/// K. Levenberg, Quarterly of Applied Mathematics 2, 1944; D. W. Marquardt, SIAM J. 11(2), 1963: solve
/// (J'WJ + Q + mu D) step = -gradient, D the diagonal; take the step when the exact objective falls, else raise mu.
/// Robust weights by iterated re-weighting (P. J. Huber, Robust Statistics, 1981, 7.8). The loop is our own on
/// MathNet's Cholesky: MathNet 5.0's minimiser keeps its weights as a dense N x N matrix (512 MB at 8000 pairs),
/// differentiates numerically with a step of 4.5e-14 at 0, and knows no robust loss and no prior.
/// </remarks>
internal static class LevenbergMarquardt
{
    private const int MaxIterations = 60;

    /// <summary>Runs from <paramref name="start"/>.</summary>
    /// <param name="model">The kind.</param>
    /// <param name="samples">The pairs.</param>
    /// <param name="start">n numbers; not changed.</param>
    /// <param name="loss">The robust loss.</param>
    /// <param name="centre">c: where the prior holds each number.</param>
    /// <param name="precision">q: how strongly, in differences a unit of the number; 0 for not at all.</param>
    /// <param name="cancel">Stops between iterations.</param>
    public static LmResult Minimise(
        ParametricModel model,
        FitSamples samples,
        double[] start,
        Loss loss,
        double[] centre,
        double[] precision,
        CancellationToken cancel)
    {
        int n = model.ParameterCount;

        double[] p = [.. start];
        Workspace work = new(n);
        double cost = Cost(model, samples, p, loss, centre, precision, work);
        double mu = 1e-3;
        int small = 0, iteration = 0;
        string ended = "the step limit was reached";
        for (; iteration < MaxIterations; iteration++)
        {
            cancel.ThrowIfCancellationRequested();
            Normal(model, samples, p, loss, centre, precision, work);
            bool taken = false;
            double before = cost;
            double stepSize = 0;
            while (mu < 1e12)
            {
                double[]? trial = Step(p, work, mu, out stepSize);
                double trialCost = trial is null ? double.NaN : Cost(model, samples, trial, loss, centre, precision, work);
                if (trialCost < cost)
                {
                    (p, cost, taken) = (trial!, trialCost, true);
                    mu = Math.Max(mu / 5, 1e-15);
                    break;
                }

                mu *= 4;
            }

            if (!taken)
            {
                ended = "no step lowers the difference any more";
                break;
            }

            bool flat = before - cost <= 1e-6 * before || stepSize < 1e-11;
            small = flat ? small + 1 : 0;
            if (small >= 2 || cost < 1e-24)
            {
                ended = "converged";
                break;
            }
        }

        return new LmResult(p, cost, PosteriorVariance(model, samples, p, loss, centre, precision, work), $"{ended} after {iteration + 1} iterations");
    }

    // The diagonal of (J'WJ + Q)^-1: times the noise's variance, how sure each number is.
    private static double[] PosteriorVariance(
        ParametricModel model, FitSamples samples, double[] p, Loss loss, double[] centre, double[] precision, Workspace work)
    {
        int n = p.Length;
        Normal(model, samples, p, loss, centre, precision, work);
        for (int j = 0; j < n; j++)
        {
            work.Hessian[j, j] += 1e-12;
        }

        try
        {
            return work.Hessian.Cholesky().Solve(Matrix<double>.Build.DenseIdentity(n)).Diagonal().ToArray();
        }
        catch (ArgumentException)
        {
            return new double[n]; // numerically singular: as if every number were certain, the most cautious reading
        }
    }

    private static double[]? Step(double[] p, Workspace work, double mu, out double size)
    {
        int n = p.Length;
        Matrix<double> a = work.Hessian.Clone();
        for (int j = 0; j < n; j++)
        {
            a[j, j] += (mu * work.Hessian[j, j]) + 1e-14;
        }

        size = 0;
        try
        {
            Cholesky<double> factor = a.Cholesky();
            Vector<double> step = factor.Solve(work.Gradient);
            double[] trial = new double[n];
            for (int j = 0; j < n; j++)
            {
                trial[j] = p[j] - step[j];
                size = Math.Max(size, Math.Abs(step[j]));
            }

            return double.IsFinite(size) ? trial : null;
        }
        catch (ArgumentException)
        {
            return null; // not positive definite in floating point: more damping
        }
    }

    private static double Cost(
        ParametricModel model, FitSamples samples, double[] p, Loss loss, double[] centre, double[] precision, Workspace work)
    {
        double cost = 0;
        model.Prepare(p);
        Span<double> y = stackalloc double[3];
        foreach (FitPair pair in samples.Pairs)
        {
            model.Evaluate(p, pair, y, work.Dy);
            Lab seen = Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2]);
            double d = Colour.DeltaE.DeltaE2000.Between(pair.PrimaryLab, seen);
            cost += pair.Weight * loss.Of(d);
        }

        for (int j = 0; j < p.Length; j++)
        {
            double r = precision[j] * (p[j] - centre[j]);
            cost += r * r;
        }

        return cost;
    }

    private static void Normal(
        ParametricModel model, FitSamples samples, double[] p, Loss loss, double[] centre, double[] precision, Workspace work)
    {
        int n = p.Length;
        model.Prepare(p);
        double[] h = work.H;
        Array.Clear(h);
        work.Gradient.Clear();
        Span<double> y = stackalloc double[3];
        Span<double> residual = stackalloc double[3];
        Span<double> metric = stackalloc double[9];
        Span<double> dLab = stackalloc double[9];
        Span<double> dr = stackalloc double[9];
        Span<double> j = work.J;
        foreach (FitPair pair in samples.Pairs)
        {
            model.Evaluate(p, pair, y, work.Dy);
            Lab seen = Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2]);
            double d = PerceivedDifference.Metric(pair.PrimaryLab, seen, residual, metric);
            double weight = pair.Weight * loss.Weight(d);
            Derivatives(model, samples.PrimaryEncoding, pair, y, dLab);
            for (int r = 0; r < 3; r++)
            {
                for (int c = 0; c < 3; c++)
                {
                    dr[(3 * r) + c] = (metric[3 * r] * dLab[c]) + (metric[(3 * r) + 1] * dLab[3 + c]) + (metric[(3 * r) + 2] * dLab[6 + c]);
                }
            }

            for (int r = 0; r < 3; r++)
            {
                for (int k = 0; k < n; k++)
                {
                    j[k] = (dr[3 * r] * work.Dy[k]) + (dr[(3 * r) + 1] * work.Dy[n + k]) + (dr[(3 * r) + 2] * work.Dy[(2 * n) + k]);
                }

                double wr = weight * residual[r];
                for (int k = 0; k < n; k++)
                {
                    double wj = weight * j[k];
                    if (wj == 0)
                    {
                        continue;
                    }

                    work.Gradient[k] += wr * j[k];
                    AddTimes(h.AsSpan(k * n, k + 1), wj, j);
                }
            }
        }

        for (int k = 0; k < n; k++)
        {
            double q = precision[k] * precision[k];
            h[(k * n) + k] += q;
            work.Gradient[k] += q * (p[k] - centre[k]);
            for (int l = 0; l <= k; l++)
            {
                work.Hessian[k, l] = h[(k * n) + l];
                work.Hessian[l, k] = h[(k * n) + l];
            }
        }
    }

    // to += factor * from: the loop that a large set spends its time in.
    private static void AddTimes(Span<double> to, double factor, ReadOnlySpan<double> from)
    {
        int l = 0;
        Lanes f = new(factor);
        for (; l <= to.Length - Lanes.Count; l += Lanes.Count)
        {
            (new Lanes(to[l..]) + (f * new Lanes(from[l..]))).CopyTo(to[l..]);
        }

        for (; l < to.Length; l++)
        {
            to[l] += factor * from[l];
        }
    }

    // Central differences over the fixed part of the chain, from the model's result to CIELAB: smooth, and never at a
    // parameter of 0.
    private static void Derivatives(
        ParametricModel model, SignalEncoding encoding, FitPair pair, ReadOnlySpan<double> y, Span<double> dLab)
    {
        for (int c = 0; c < 3; c++)
        {
            double h = 1e-5 * Math.Max(Math.Abs(y[c]), 0.01);
            Span<double> at = [y[0], y[1], y[2]];
            at[c] = y[c] + h;
            Lab up = Seen(model, encoding, pair, at[0], at[1], at[2]);
            at[c] = y[c] - h;
            Lab down = Seen(model, encoding, pair, at[0], at[1], at[2]);
            dLab[c] = (up.L - down.L) / (2 * h);
            dLab[3 + c] = (up.A - down.A) / (2 * h);
            dLab[6 + c] = (up.B - down.B) / (2 * h);
        }
    }

    // What is seen of the model's result. Where the primary itself is at the limit of the signal, a result beyond the
    // limit looks the same and must not be pulled back; elsewhere nothing is limited, so that the fit feels the excess.
    internal static Lab Seen(ParametricModel model, SignalEncoding encoding, FitPair pair, double y0, double y1, double y2)
    {
        CodeRgb code = model.GivesLight ? encoding.FromScene(new SceneRgb(y0, y1, y2)) : new CodeRgb(y0, y1, y2);
        return encoding.ToLab(OneSided(pair, code));
    }

    /// <summary>The code with what lies beyond a clipped channel of the primary taken as equal to it.</summary>
    internal static CodeRgb OneSided(FitPair pair, CodeRgb code) => !pair.PrimaryClipped
        ? code
        : new CodeRgb(
            OneSided(code.R, pair.PrimaryCode.R), OneSided(code.G, pair.PrimaryCode.G), OneSided(code.B, pair.PrimaryCode.B));

    private static double OneSided(double code, double wanted) =>
        wanted >= FitPair.ClipHigh ? Math.Min(code, wanted) : wanted <= FitPair.ClipLow ? Math.Max(code, wanted) : code;

    private sealed class Workspace(int n)
    {
        public double[] Dy { get; } = new double[3 * n];

        public double[] J { get; } = new double[n];

        public double[] H { get; } = new double[n * n];

        public Matrix<double> Hessian { get; } = Matrix<double>.Build.Dense(n, n);

        public Vector<double> Gradient { get; } = Vector<double>.Build.Dense(n);
    }
}

/// <summary>
/// Huber's loss, square for small differences and linear above, that stops growing for mismatches.
/// </summary>
/// <param name="Linear">The difference above which it grows linearly.</param>
/// <param name="Mismatch">The difference above which it stays the same: such a pair has no pull.</param>
internal readonly record struct Loss(double Linear, double Mismatch)
{
    public double Of(double d)
    {
        d = Math.Min(d, Mismatch);
        return d <= Linear ? d * d : Linear * ((2 * d) - Linear);
    }

    public double Weight(double d) => d > Mismatch ? 0 : d <= Linear ? 1 : Linear / d;
}

/// <summary>Where the minimiser ended.</summary>
/// <param name="Parameters">The n numbers.</param>
/// <param name="Cost">The objective there.</param>
/// <param name="Variance">The diagonal of the inverse of the objective's matrix, prior included.</param>
/// <param name="HowItEnded">For the expert.</param>
internal sealed record LmResult(double[] Parameters, double Cost, double[] Variance, string HowItEnded);
