using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Testing.Simulation;

/// <summary>
/// Published methods to be measured against, each fitted to the pairs of a set: plain and short, from their papers.
/// All give code values of the primary from code values of the secondary, unclamped; both encodings must be the same.
/// </summary>
public static class Peers
{
    /// <summary>Every peer by name.</summary>
    public static IReadOnlyList<(string Name, Func<SampleSet, Func<CodeRgb, CodeRgb>> Fit)> All { get; } =
    [
        ("identity", _ => c => c),
        ("gains LS", Gains),
        ("lift-gamma-gain LS", LiftGammaGain),
        ("3x3 LS", s => Regression(s, light: true, x => [x[0], x[1], x[2]])),
        ("polynomial 2 LS, light", s => Regression(s, light: true, Polynomial2)),
        ("polynomial 2 LS, code", s => Regression(s, light: false, x => [.. Polynomial2(x), 1])),
        ("root-polynomial 2 LS", s => Regression(s, light: true, RootPolynomial2)),
        ("Reinhard 2001", Reinhard),
        ("Monge-Kantorovich", MongeKantorovich),
        ("thin-plate exact", s => ThinPlate(s, smooth: false)),
        ("thin-plate smooth", s => ThinPlate(s, smooth: true)),
    ];

    // Least squares of one factor a channel in light.
    private static Func<CodeRgb, CodeRgb> Gains(SampleSet set)
    {
        SignalEncoding e = set.PrimaryEncoding;
        double Gain(Func<SceneRgb, double> channel)
        {
            double xy = 0, xx = 0;
            foreach (SamplePair p in set.Pairs)
            {
                double x = channel(e.ToScene(p.Secondary)), y = channel(e.ToScene(p.Primary));
                xy += x * y;
                xx += x * x;
            }

            return xy / xx;
        }

        double r = Gain(l => l.R), g = Gain(l => l.G), b = Gain(l => l.B);
        return c => e.ToScene(c) is var l ? e.FromScene(new SceneRgb(r * l.R, g * l.G, b * l.B)) : default;
    }

    // y = (a + b x)^(1/gamma) a channel in code values: for each gamma the line by least squares of y^gamma, weighted so that
    // to first order the misfit is that of y; then the gamma that leaves least.
    private static Func<CodeRgb, CodeRgb> LiftGammaGain(SampleSet set)
    {
        static double Shaped(double line, double gamma) => Math.Sign(line) * Math.Pow(Math.Abs(line), 1 / gamma);
        (double A, double B, double Gamma) Channel(Func<CodeRgb, double> of)
        {
            (double A, double B, double Gamma) best = (0, 1, 1);
            double least = double.PositiveInfinity;
            for (double gamma = 0.25; gamma < 4; gamma *= 1.02)
            {
                double w = 0, wx = 0, wy = 0, wxx = 0, wxy = 0;
                foreach (SamplePair p in set.Pairs)
                {
                    double x = of(p.Secondary), y = Math.Max(of(p.Primary), 0.005), line = Math.Pow(y, gamma), slope = y / (gamma * line);
                    double k = slope * slope;
                    (w, wx, wy, wxx, wxy) = (w + k, wx + (k * x), wy + (k * line), wxx + (k * x * x), wxy + (k * x * line));
                }

                double b = ((w * wxy) - (wx * wy)) / Math.Max((w * wxx) - (wx * wx), 1e-12), a = (wy - (b * wx)) / w;
                double left = set.Pairs.Sum(p => Math.Pow(of(p.Primary) - Shaped(a + (b * of(p.Secondary)), gamma), 2));
                if (left < least)
                {
                    (least, best) = (left, (a, b, gamma));
                }
            }

            return best;
        }

        (double A, double B, double Gamma) r = Channel(c => c.R), g = Channel(c => c.G), b = Channel(c => c.B);
        return c => new CodeRgb(Shaped(r.A + (r.B * c.R), r.Gamma), Shaped(g.A + (g.B * c.G), g.Gamma), Shaped(b.A + (b.B * c.B), b.Gamma));
    }

    private static double[] Polynomial2(double[] x) =>
        [x[0], x[1], x[2], x[0] * x[0], x[1] * x[1], x[2] * x[2], x[0] * x[1], x[1] * x[2], x[0] * x[2]];

    /// <summary>Least squares of all 35 terms up to degree 4 on code values: for many pairs only.</summary>
    public static Func<CodeRgb, CodeRgb> Polynomial4(SampleSet set) => Regression(set, light: false, x =>
    [
        .. from i in Enumerable.Range(0, 5)
           from j in Enumerable.Range(0, 5 - i)
           from k in Enumerable.Range(0, 5 - i - j)
           select Math.Pow(x[0], i) * Math.Pow(x[1], j) * Math.Pow(x[2], k),
    ]);

    // Finlayson, Mackiewicz and Hurlbert, IEEE Trans. Image Processing 24(5), 2015.
    private static double[] RootPolynomial2(double[] x)
    {
        double r = Math.Max(x[0], 0), g = Math.Max(x[1], 0), b = Math.Max(x[2], 0);
        return [x[0], x[1], x[2], Math.Sqrt(r * g), Math.Sqrt(g * b), Math.Sqrt(r * b)];
    }

    private static Func<CodeRgb, CodeRgb> Regression(SampleSet set, bool light, Func<double[], double[]> terms)
    {
        SignalEncoding e = set.PrimaryEncoding;
        double[] In(CodeRgb c) => light ? [e.ToScene(c.R), e.ToScene(c.G), e.ToScene(c.B)] : [c.R, c.G, c.B];
        Matrix<double> x = Matrix<double>.Build.DenseOfRowArrays(set.Pairs.Select(p => terms(In(p.Secondary))));
        Matrix<double> y = Matrix<double>.Build.DenseOfRowArrays(set.Pairs.Select(p => In(p.Primary)));
        Matrix<double> m = x.RowCount >= x.ColumnCount ? x.QR().Solve(y) : x.PseudoInverse() * y;
        return c =>
        {
            double[] t = terms(In(c));
            Span<double> o = stackalloc double[3];
            for (int i = 0; i < 3; i++)
            {
                for (int k = 0; k < t.Length; k++)
                {
                    o[i] += t[k] * m[k, i];
                }
            }

            return light ? e.FromScene(new SceneRgb(o[0], o[1], o[2])) : new CodeRgb(o[0], o[1], o[2]);
        };
    }

    // Reinhard, Adhikhmin, Gooch and Shirley, IEEE CG&A 21(5), 2001: mean and spread of three axes, here of CIELAB.
    private static Func<CodeRgb, CodeRgb> Reinhard(SampleSet set)
    {
        SignalEncoding e = set.PrimaryEncoding;
        (double[] mean, double[] spread) Statistics(IEnumerable<CodeRgb> colours)
        {
            double[][] lab = [.. colours.Select(c => e.ToLab(c) is var l ? new[] { l.L, l.A, l.B } : [])];
            double[] mean = new double[3], spread = new double[3];
            for (int i = 0; i < 3; i++)
            {
                mean[i] = lab.Average(l => l[i]);
                spread[i] = Math.Sqrt(lab.Average(l => (l[i] - mean[i]) * (l[i] - mean[i])));
            }

            return (mean, spread);
        }

        (double[] pm, double[] ps) = Statistics(set.Pairs.Select(p => p.Primary));
        (double[] sm, double[] ss) = Statistics(set.Pairs.Select(p => p.Secondary));
        return c =>
        {
            Lab l = e.ToLab(c);
            return e.FromLab(new Lab(
                pm[0] + ((l.L - sm[0]) * ps[0] / ss[0]), pm[1] + ((l.A - sm[1]) * ps[1] / ss[1]), pm[2] + ((l.B - sm[2]) * ps[2] / ss[2])));
        };
    }

    // Pitie and Kokaram, CVMP 2007: T = S^-1/2 (S^1/2 P S^1/2)^1/2 S^-1/2 on code values.
    private static Func<CodeRgb, CodeRgb> MongeKantorovich(SampleSet set)
    {
        (Vector<double> Mean, Matrix<double> Covariance) Statistics(IEnumerable<CodeRgb> colours)
        {
            Vector<double>[] v = [.. colours.Select(c => Vector<double>.Build.Dense([c.R, c.G, c.B]))];
            Vector<double> mean = v.Aggregate((a, b) => a + b) / v.Length;
            Matrix<double> covariance = v.Select(x => (x - mean).OuterProduct(x - mean)).Aggregate((a, b) => a + b) / v.Length;
            return (mean, covariance + (1e-8 * Matrix<double>.Build.DenseIdentity(3)));
        }

        (Vector<double> pm, Matrix<double> pc) = Statistics(set.Pairs.Select(p => p.Primary));
        (Vector<double> sm, Matrix<double> sc) = Statistics(set.Pairs.Select(p => p.Secondary));
        Matrix<double> root = Power(sc, 0.5), back = Power(sc, -0.5);
        Matrix<double> t = back * Power(root * pc * root, 0.5) * back;
        return c =>
        {
            Vector<double> o = pm + (t * (Vector<double>.Build.Dense([c.R, c.G, c.B]) - sm));
            return new CodeRgb(o[0], o[1], o[2]);
        };
    }

    private static Matrix<double> Power(Matrix<double> symmetric, double exponent)
    {
        Evd<double> evd = symmetric.Evd(Symmetricity.Symmetric);
        Vector<double> values = evd.EigenValues.Map(v => Math.Pow(Math.Max(v.Real, 1e-12), exponent));
        return evd.EigenVectors * Matrix<double>.Build.DiagonalOfDiagonalVector(values) * evd.EigenVectors.Transpose();
    }

    /// <summary>
    /// The thin-plate spline in three dimensions, kernel r plus an affine part, on code values (F. L. Bookstein, IEEE
    /// PAMI 11(6), 1989; smoothed as G. Wahba, Spline Models for Observational Data, 1990, with the smoothing that
    /// minimises generalised cross-validation).
    /// </summary>
    public static Func<CodeRgb, CodeRgb> ThinPlate(SampleSet set, bool smooth)
    {
        // Equal places (a clipped colour seen twice) make the system singular: one of them is enough for a peer.
        SamplePair[] pairs = [.. set.Pairs.DistinctBy(p => p.Secondary)];
        int n = pairs.Length;
        double[][] at = [.. pairs.Select(p => new[] { p.Secondary.R, p.Secondary.G, p.Secondary.B })];
        static double Distance(double[] a, double[] b) =>
            Math.Sqrt(((a[0] - b[0]) * (a[0] - b[0])) + ((a[1] - b[1]) * (a[1] - b[1])) + ((a[2] - b[2]) * (a[2] - b[2])));
        Matrix<double> y = Matrix<double>.Build.Dense(n, 3, (i, c) => c == 0 ? pairs[i].Primary.R : c == 1 ? pairs[i].Primary.G : pairs[i].Primary.B);
        if (n < 5)
        {
            return c => c;
        }

        // The kernel is -r for a positive definite form on the complement of the affine functions.
        Matrix<double> k = Matrix<double>.Build.Dense(n, n, (i, j) => -Distance(at[i], at[j]));
        Matrix<double> t = Matrix<double>.Build.Dense(n, 4, (i, c) => c == 0 ? 1 : at[i][c - 1]);
        QR<double> qr = t.QR(QRMethod.Full);
        Matrix<double> q1 = qr.Q.SubMatrix(0, n, 0, 4), q2 = qr.Q.SubMatrix(0, n, 4, n - 4);
        Matrix<double> r = qr.R.SubMatrix(0, 4, 0, 4);
        Evd<double> evd = (q2.Transpose() * k * q2).Evd(Symmetricity.Symmetric);
        Matrix<double> u = q2 * evd.EigenVectors;
        Vector<double> d = evd.EigenValues.Map(v => Math.Max(v.Real, 0));
        Matrix<double> z = u.Transpose() * y;
        double lambda = 1e-9;
        if (smooth)
        {
            double best = double.PositiveInfinity;
            for (double candidate = 1e-6; candidate < 10; candidate *= 1.5)
            {
                double rss = 0, free = 0;
                for (int i = 0; i < d.Count; i++)
                {
                    double keep = candidate / (d[i] + candidate);
                    free += keep;
                    rss += keep * keep * ((z[i, 0] * z[i, 0]) + (z[i, 1] * z[i, 1]) + (z[i, 2] * z[i, 2]));
                }

                double gcv = rss / (free * free);
                if (gcv < best)
                {
                    (best, lambda) = (gcv, candidate);
                }
            }
        }

        Matrix<double> weights = u * Matrix<double>.Build.DiagonalOfDiagonalVector(d.Map(v => 1 / (v + lambda))) * z;
        Matrix<double> affine = r.Solve(q1.Transpose() * (y - (k * weights) - (lambda * weights)));
        return c =>
        {
            double[] x = [c.R, c.G, c.B];
            Span<double> o = [affine[0, 0], affine[0, 1], affine[0, 2]];
            for (int i = 0; i < 3; i++)
            {
                o[i] += (affine[1, i] * x[0]) + (affine[2, i] * x[1]) + (affine[3, i] * x[2]);
            }

            for (int j = 0; j < n; j++)
            {
                double dist = -Distance(at[j], x);
                o[0] += dist * weights[j, 0];
                o[1] += dist * weights[j, 1];
                o[2] += dist * weights[j, 2];
            }

            return new CodeRgb(o[0], o[1], o[2]);
        };
    }
}
