using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Bench.Accuracy;

/// <summary>
/// The lattice as a sparse grid, to compare with the library's own way: shifts at 17 nodes a side on top of a
/// correction, linear between nodes, least squares plus lambda times the squared second differences along the three
/// axes, solved by conjugate gradients (M. R. Hestenes and E. Stiefel, J. Res. NBS 49(6), 1952).
/// </summary>
internal sealed class GridSolver
{
    private const int Nodes = 17;
    private const int Count = Nodes * Nodes * Nodes;
    private const double Towards0 = 1e-5;

    private readonly Correction _below;
    private readonly double[][] _shift;

    private GridSolver(Correction below, double[][] shift) => (_below, _shift) = (below, shift);

    /// <summary>Fits the three axes of CIELAB, each in units of 1 + 0.03 C* as the library does.</summary>
    public static GridSolver Fit(Correction below, SampleSet samples, double lambda)
    {
        SignalEncoding e = samples.PrimaryEncoding;
        List<(int Node, double Weight)[]> rows = [];
        List<double>[] wanted = [[], [], []];
        foreach (SamplePair pair in samples.Pairs)
        {
            CodeRgb code = below.Apply(pair.Secondary);
            Lab at = e.ToLab(code), primary = e.ToLab(pair.Primary);
            double[] shift = [(primary.L - at.L) / Size(at), (primary.A - at.A) / Size(at), (primary.B - at.B) / Size(at)];
            if (Math.Sqrt(shift.Sum(s => s * s)) > 6)
            {
                continue; // a mismatch
            }

            rows.Add(Weights(code));
            for (int c = 0; c < 3; c++)
            {
                wanted[c].Add(shift[c]);
            }
        }

        return new GridSolver(below, [.. wanted.Select(w => Solve(rows, w, lambda))]);
    }

    public CodeRgb Apply(CodeRgb secondary)
    {
        SignalEncoding e = _below.PrimaryEncoding;
        CodeRgb code = _below.Apply(secondary);
        Lab at = e.ToLab(code);
        (int Node, double Weight)[] weights = Weights(code);
        double Shift(int c) => Size(at) * weights.Sum(w => w.Weight * _shift[c][w.Node]);
        return e.FromLab(new Lab(at.L + Shift(0), at.A + Shift(1), at.B + Shift(2)));
    }

    private static double Size(Lab at) => 1 + (0.03 * at.Chroma);

    private static (int Node, double Weight)[] Weights(CodeRgb code)
    {
        static (int Cell, double Along) Place(double x)
        {
            double at = Math.Clamp(x, 0, 1) * (Nodes - 1);
            int cell = Math.Min((int)at, Nodes - 2);
            return (cell, at - cell);
        }

        (int r, double x) = Place(code.R);
        (int g, double y) = Place(code.G);
        (int b, double z) = Place(code.B);
        var weights = new (int, double)[8];
        for (int k = 0; k < 8; k++)
        {
            int i = k & 1, j = (k >> 1) & 1, l = k >> 2;
            weights[k] = (r + i + (Nodes * (g + j + (Nodes * (b + l)))), (i == 1 ? x : 1 - x) * (j == 1 ? y : 1 - y) * (l == 1 ? z : 1 - z));
        }

        return weights;
    }

    private static double[] Solve(List<(int Node, double Weight)[]> rows, List<double> wanted, double lambda)
    {
        double[] x = new double[Count], right = new double[Count];
        for (int i = 0; i < rows.Count; i++)
        {
            foreach ((int node, double weight) in rows[i])
            {
                right[node] += weight * wanted[i];
            }
        }

        double[] rest = [.. right], step = [.. right];
        double square = Dot(rest, rest), start = square;
        for (int iteration = 0; iteration < 1000 && square > 1e-10 * start; iteration++)
        {
            double[] product = Times(rows, step, lambda);
            double along = square / Dot(step, product);
            for (int i = 0; i < Count; i++)
            {
                x[i] += along * step[i];
                rest[i] -= along * product[i];
            }

            double next = Dot(rest, rest);
            for (int i = 0; i < Count; i++)
            {
                step[i] = rest[i] + (next / square * step[i]);
            }

            square = next;
        }

        return x;
    }

    private static double[] Times(List<(int Node, double Weight)[]> rows, double[] x, double lambda)
    {
        double[] y = [.. x.Select(v => Towards0 * v)];
        foreach ((int Node, double Weight)[] row in rows)
        {
            double at = row.Sum(w => w.Weight * x[w.Node]);
            foreach ((int node, double weight) in row)
            {
                y[node] += weight * at;
            }
        }

        foreach (int stride in (int[])[1, Nodes, Nodes * Nodes])
        {
            for (int i = 0; i < Count; i++)
            {
                int place = i / stride % Nodes;
                if (place is > 0 and < Nodes - 1)
                {
                    double bend = lambda * (x[i - stride] - (2 * x[i]) + x[i + stride]);
                    y[i - stride] += bend;
                    y[i] -= 2 * bend;
                    y[i + stride] += bend;
                }
            }
        }

        return y;
    }

    private static double Dot(double[] a, double[] b)
    {
        double sum = 0;
        for (int i = 0; i < a.Length; i++)
        {
            sum += a[i] * b[i];
        }

        return sum;
    }
}
