using System.Numerics;
using Tonematch.Colour;
using Tonematch.Fitting.Models;
using Tonematch.Numerics;
using Lanes = System.Numerics.Vector<double>;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// Minimises sum_i w_i rho(dE_i(p)) + sum_j q_j^2 (p_j - c_j)^2 over the n parameters p of a
/// <see cref="ParametricModel"/>, where dE is CIEDE2000 of the displayed colours and rho is Huber's loss.
/// </summary>
/// <remarks>
/// K. Levenberg, Quarterly of Applied Mathematics 2, 1944; D. W. Marquardt, SIAM J. 11(2), 1963: solve (J'WJ + Q + mu
/// D) step = -gradient, D the diagonal; take the step when the exact objective falls, else raise mu. Robust weights by
/// iterated re-weighting (P. J. Huber, Robust Statistics, 1981, 7.8). The loop is our own because MathNet 5.0's
/// minimiser keeps its weights as a dense N x N matrix (512 MB at 8000 pairs), differentiates numerically with a step
/// of 4.5e-14 at 0, and has neither a robust loss nor a prior.
/// </remarks>
internal static class LevenbergMarquardt
{
    private const int MaxIterations = 60;

    // A step that is expected to lower the objective by less than this share ends the search, and so do two that lowered
    // it by less: the remaining gain is far below the parameters' uncertainty. With a hundredth of it, a fit takes 1.4
    // times as long and leaves the same error on unseen colours to within 0.002.
    private const double LeastFall = 1e-4;

    /// <summary>Runs from <paramref name="start"/>.</summary>
    /// <param name="model">The kind.</param>
    /// <param name="samples">The pairs.</param>
    /// <param name="start">n parameters; not changed.</param>
    /// <param name="loss">The robust loss.</param>
    /// <param name="centre">c: the prior's centre of each parameter.</param>
    /// <param name="precision">q: the prior's strength, in differences per unit of the parameter; 0 for none.</param>
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
        double cost = Cost(model, samples, p, loss, centre, precision);
        double mu = 1e-3;
        int small = 0, iteration = 0;
        bool current = false; // whether the matrix in 'work' is, near enough, that at p
        string ended = "the step limit was reached";
        for (; iteration < MaxIterations; iteration++)
        {
            cancel.ThrowIfCancellationRequested();
            Normal(model, samples, p, loss, centre, precision, work);
            current = true;
            bool taken = false, little = false;
            double before = cost;
            while (mu < 1e12 && !taken && !little)
            {
                if (Step(p, work, mu) is not var (trial, expected))
                {
                    mu *= 4;
                    continue;
                }

                double trialCost = Cost(model, samples, trial, loss, centre, precision);
                little = expected <= LeastFall * before;
                taken = trialCost < cost;
                (p, cost, mu) = taken ? (trial, trialCost, Math.Max(mu / 5, 1e-15)) : (p, cost, mu * 4);
            }

            if (little || !taken)
            {
                ended = little ? "converged" : "no step reduces the difference any further";
                break;
            }

            current = false;
            small = before - cost <= LeastFall * before ? small + 1 : 0;
            if (small >= 2 || cost < 1e-24)
            {
                ended = "converged";
                break;
            }
        }

        if (!current)
        {
            Normal(model, samples, p, loss, centre, precision, work);
        }

        return new LmResult(p, cost, PosteriorVariance(work, n), $"{ended} after {iteration + 1} iterations");
    }

    // The diagonal of (J'WJ + Q)^-1: multiplied by the noise variance, the uncertainty of each parameter. If it is
    // numerically singular, every parameter is treated as certain, the most cautious choice.
    private static double[] PosteriorVariance(Workspace work, int n) =>
        work.Factor.Decompose(work.Hessian, _ => 1e-12) ? work.Factor.InverseDiagonal() : new double[n];

    // The parameters after one step, and by how much the quadratic model of the objective expects it to fall (J. J.
    // More, 'The Levenberg-Marquardt algorithm: implementation and theory', Lecture Notes in Mathematics 630, 1978);
    // null if the matrix is not positive definite in floating point, which asks for more damping.
    private static (double[] Parameters, double Expected)? Step(double[] p, Workspace work, double mu)
    {
        const double least = 1e-14;
        if (!work.Factor.Decompose(work.Hessian, d => (mu * d) + least))
        {
            return null;
        }

        double[] step = [.. work.Gradient];
        work.Factor.Solve(step);
        double expected = 0;
        for (int j = 0; j < p.Length; j++)
        {
            double damping = (mu * work.Hessian[(j * work.Stride) + j]) + least;
            expected += step[j] * (work.Gradient[j] + (damping * step[j]));
            step[j] = p[j] - step[j];
        }

        return double.IsFinite(expected) ? (step, expected) : null;
    }

    private static double Cost(
        ParametricModel model, FitSamples samples, double[] p, Loss loss, double[] centre, double[] precision)
    {
        double cost = 0;
        model.Prepare(p);
        Span<double> y = stackalloc double[3];
        foreach (FitPair pair in samples.Pairs)
        {
            model.Evaluate(p, pair, y);
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
        int stride = work.Stride;
        double[] h = work.Hessian;
        Array.Clear(h);
        Array.Clear(work.Gradient);
        Span<double> y = stackalloc double[3];
        Span<double> residual = stackalloc double[3];
        Span<double> metric = stackalloc double[9];
        Span<double> dLab = stackalloc double[9];
        Span<double> j0 = work.J.AsSpan(0, stride), j1 = work.J.AsSpan(stride, stride), j2 = work.J.AsSpan(2 * stride, stride);
        ReadOnlySpan<double> dy0 = work.Dy.AsSpan(0, n), dy1 = work.Dy.AsSpan(n, n), dy2 = work.Dy.AsSpan(2 * n, n);
        foreach (FitPair pair in samples.Pairs)
        {
            model.Evaluate(p, pair, y, work.Dy);
            Lab seen = Seen(model, samples.PrimaryEncoding, pair, y[0], y[1], y[2]);
            double d = PerceivedDifference.Metric(pair.PrimaryLab, seen, residual, metric);
            double weight = pair.Weight * loss.Weight(d);
            if (weight == 0)
            {
                continue;
            }

            Derivatives(model, samples.PrimaryEncoding, pair, y, seen, dLab);
            for (int r = 0; r < 3; r++)
            {
                double d0 = 0, d1 = 0, d2 = 0;
                for (int k = 0; k < 3; k++)
                {
                    double m = metric[(3 * r) + k];
                    d0 += m * dLab[3 * k];
                    d1 += m * dLab[(3 * k) + 1];
                    d2 += m * dLab[(3 * k) + 2];
                }

                Span<double> j = r == 0 ? j0 : r == 1 ? j1 : j2;
                for (int k = 0; k < n; k++)
                {
                    j[k] = (d0 * dy0[k]) + (d1 * dy1[k]) + (d2 * dy2[k]);
                }
            }

            for (int k = 0; k < n; k++)
            {
                double a = weight * j0[k], b = weight * j1[k], c = weight * j2[k];
                work.Gradient[k] += (a * residual[0]) + (b * residual[1]) + (c * residual[2]);
                AddTimes(h.AsSpan(k * stride, stride), k, new Lanes(a), new Lanes(b), new Lanes(c), j0, j1, j2);
            }
        }

        for (int k = 0; k < n; k++)
        {
            double q = precision[k] * precision[k];
            h[(k * stride) + k] += q;
            work.Gradient[k] += q * (p[k] - centre[k]);
        }
    }

    // to += a j0 + b j1 + c j2, up to element 'last' and a little beyond: large sets spend most of their time in this
    // loop.
    private static void AddTimes(
        Span<double> to, int last, Lanes a, Lanes b, Lanes c, ReadOnlySpan<double> j0, ReadOnlySpan<double> j1, ReadOnlySpan<double> j2)
    {
        for (int l = 0; l <= last; l += Lanes.Count)
        {
            Lanes sum = new(to[l..]);
            sum = Vector.FusedMultiplyAdd(a, new Lanes(j0[l..]), sum);
            sum = Vector.FusedMultiplyAdd(b, new Lanes(j1[l..]), sum);
            Vector.FusedMultiplyAdd(c, new Lanes(j2[l..]), sum).CopyTo(to[l..]);
        }
    }

    // Derivatives of the fixed part of the chain, from the model's result to CIELAB: row by row dL, da, db by y.
    private static void Derivatives(
        ParametricModel model, SignalEncoding encoding, FitPair pair, ReadOnlySpan<double> y, Lab seen, Span<double> dLab)
    {
        for (int c = 0; c < 3; c++)
        {
            double h = 1e-6 * Math.Max(Math.Abs(y[c]), 0.01);
            Span<double> at = [y[0], y[1], y[2]];
            at[c] += h;
            Lab up = Seen(model, encoding, pair, at[0], at[1], at[2]);
            dLab[c] = (up.L - seen.L) / h;
            dLab[3 + c] = (up.A - seen.A) / h;
            dLab[6 + c] = (up.B - seen.B) / h;
        }
    }

    // The displayed colour of the model's result. If the primary itself is clipped, a result beyond the limit looks the
    // same and must not be pulled back; otherwise nothing is clamped, so that the fit sees the excess.
    internal static Lab Seen(ParametricModel model, SignalEncoding encoding, FitPair pair, double y0, double y1, double y2)
    {
        CodeRgb code = model.GivesLight ? encoding.FromScene(new SceneRgb(y0, y1, y2)) : new CodeRgb(y0, y1, y2);
        return encoding.ToLab(OneSided(pair, code));
    }

    /// <summary>The code with any value beyond a clipped channel of the primary set equal to it.</summary>
    internal static CodeRgb OneSided(FitPair pair, CodeRgb code) => !pair.PrimaryClipped
        ? code
        : new CodeRgb(
            OneSided(code.R, pair.PrimaryCode.R), OneSided(code.G, pair.PrimaryCode.G), OneSided(code.B, pair.PrimaryCode.B));

    private static double OneSided(double code, double wanted) =>
        wanted >= FitPair.ClipHigh ? Math.Min(code, wanted) : wanted <= FitPair.ClipLow ? Math.Max(code, wanted) : code;

    private sealed class Workspace(int n)
    {
        /// <summary>Values per row: n rounded up to whole vectors.</summary>
        public int Stride { get; } = (n + Lanes.Count - 1) / Lanes.Count * Lanes.Count;

        public double[] Dy { get; } = new double[3 * n];

        public double[] J => field ??= new double[3 * Stride];

        /// <summary>The lower triangle, row by row; elements above the diagonal are not used.</summary>
        public double[] Hessian => field ??= new double[n * Stride];

        public double[] Gradient { get; } = new double[n];

        public CholeskyFactor Factor => field ??= new CholeskyFactor(n, Stride);
    }
}

/// <summary>
/// Huber's loss, quadratic for small differences and linear above, that stops growing for mismatches.
/// </summary>
/// <param name="Linear">The difference above which it grows linearly.</param>
/// <param name="Mismatch">The difference above which it is constant, so that the pair has no influence.</param>
internal readonly record struct Loss(double Linear, double Mismatch)
{
    public double Of(double d)
    {
        d = Math.Min(d, Mismatch);
        return d <= Linear ? d * d : Linear * ((2 * d) - Linear);
    }

    public double Weight(double d) => d > Mismatch ? 0 : d <= Linear ? 1 : Linear / d;
}

/// <summary>The result of the minimiser.</summary>
/// <param name="Parameters">The n parameters.</param>
/// <param name="Cost">The objective there.</param>
/// <param name="Variance">The diagonal of the inverse of the objective's matrix, prior included.</param>
/// <param name="HowItEnded">How the search ended, for experts.</param>
internal sealed record LmResult(double[] Parameters, double Cost, double[] Variance, string HowItEnded);
