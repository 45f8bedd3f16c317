using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>
/// Curves, matrix, curves with mixings. Every number is in units of its expected standard deviation ('whitened'), so the
/// prior is the same for all of them; the curves' logarithms of slope are smooth a priori (a Gaussian process over the
/// knots), and the three channels share one curve up to small deviations.
/// </summary>
internal sealed class CurvesMatrixModel : ParametricModel
{
    // Knots of each curve.
    private const int Knots = 6;

    // Expected standard deviations: how they were chosen stands in docs/method/fitting.md.
    private const double Smoothness = 0.35; // of the range, over which a curve's slope stays alike
    private const double SharedSlope = 0.35; // logarithm of slope, common to the channels
    private const double OwnSlope = 0.012; // logarithm of slope, a channel's own
    private const double SharedStart = 0.02; // code value at black
    private const double OwnStart = 0.0015;
    private const double MatrixMixing = 0.06; // share of another channel, in light
    private const double CodeMixing = 0.06; // the same in code values
    private const double LogGain = 0.7;

    private const int GainAt = 0;
    private const int MatrixAt = 3;
    private const int BeforeAt = 9;
    private const int AfterAt = 15;
    private const int CurvesAt = 21;
    private const int CurveLength = Knots + 1;
    private const int CurvesLength = 4 * CurveLength;

    private static readonly double[,] s_root = Root();

    private readonly FitSamples _samples;
    private readonly PerChannel _gains;
    private readonly Matrix3 _toPrimaries;
    private readonly bool _samePrimaries;
    private readonly MonotoneCurve[] _before = new MonotoneCurve[3];
    private readonly MonotoneCurve[] _after = new MonotoneCurve[3];
    private readonly double[] _one;
    private readonly double[] _two;

    public CurvesMatrixModel(FitSamples samples)
    {
        _samples = samples;
        _gains = ClosedForm.Gains(samples);
        _samePrimaries = samples.PrimaryEncoding.Primaries == samples.SecondaryEncoding.Primaries;
        _toPrimaries = _samePrimaries ? Matrix3.Identity : samples.PrimaryEncoding.XyzToRgb * samples.SecondaryEncoding.RgbToXyz;
        _one = new double[3 * ParameterCount];
        _two = new double[3 * ParameterCount];
    }

    public override int ParameterCount => CurvesAt + (2 * CurvesLength);

    public override bool GivesLight => false;

    public override double[] Start(FitSamples samples) => new double[ParameterCount];

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        precision.Fill(1);
    }

    public override int GroupOf(int parameter)
    {
        if (parameter < CurvesAt)
        {
            return parameter < MatrixAt ? 0 : 1 + ((parameter - MatrixAt) / 6); // gains; three mixings of six numbers
        }

        int k = parameter - CurvesAt;
        return 4 + (2 * (k / CurvesLength)) + (k % CurvesLength < CurveLength ? 0 : 1); // shared and own, before and after
    }

    public override void Prepare(ReadOnlySpan<double> p)
    {
        for (int c = 0; c < 3; c++)
        {
            _before[c] = Curve(p, CurvesAt, c);
            _after[c] = Curve(p, CurvesAt + CurvesLength, c);
        }
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        int n = ParameterCount;
        Span<double> j = _one.AsSpan();
        Span<double> k = _two.AsSpan();
        j.Clear();
        Span<double> x = [pair.Secondary.R, pair.Secondary.G, pair.Secondary.B];
        Span<double> value = stackalloc double[3];

        // Mixing and curves of the secondary.
        for (int c = 0; c < 3; c++)
        {
            value[c] = Mixed(p, BeforeAt, CodeMixing, x, c);
        }

        for (int c = 0; c < 3; c++)
        {
            Span<double> row = j.Slice(c * n, n);
            double slope = _before[c].SlopeAt(value[c]);
            AddMixing(row, BeforeAt, CodeMixing, x, c, slope);
            AddCurve(row, CurvesAt, _before[c], c, value[c]);
            double u = _before[c].At(value[c]);
            double steep = Steep(_samples.SecondaryEncoding, u, toScene: true);
            value[c] = _samples.SecondaryEncoding.ToScene(u);
            Scale(row, steep);
        }

        if (!_samePrimaries)
        {
            (value[0], value[1], value[2]) = _toPrimaries.Times(value[0], value[1], value[2]);
            Combine(_toPrimaries, j, k, n);
            Span<double> swap = j;
            j = k;
            k = swap;
        }

        // Matrix with gains in light, then the primary's camera curve and curves.
        Span<double> light = [value[0], value[1], value[2]];
        Matrix3 m = MatrixOf(p);
        Combine(m, j, k, n);
        for (int c = 0; c < 3; c++)
        {
            Span<double> row = k.Slice(c * n, n);
            double gain = Gain(p, c), mixed = Mixed(p, MatrixAt, MatrixMixing, light, c);
            double l = gain * mixed;
            row[GainAt + c] += LogGain * l;
            AddMixing(row, MatrixAt, MatrixMixing, light, c, gain);
            double v = _samples.PrimaryEncoding.FromScene(l);
            Scale(row, Steep(_samples.PrimaryEncoding, l, toScene: false) * _after[c].SlopeAt(v));
            AddCurve(row, CurvesAt + CurvesLength, _after[c], c, v);
            value[c] = _after[c].At(v);
        }

        Combine(Mixing(p, AfterAt, CodeMixing), k, dy, n);
        for (int c = 0; c < 3; c++)
        {
            y[c] = Mixed(p, AfterAt, CodeMixing, value, c);
            AddMixing(dy.Slice(c * n, n), AfterAt, CodeMixing, value, c, 1);
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) => new CurvesMatrixCorrection(
        samples.SecondaryEncoding,
        samples.PrimaryEncoding,
        Mixing(p, BeforeAt, CodeMixing),
        new ChannelCurves(Curve(p, CurvesAt, 0), Curve(p, CurvesAt, 1), Curve(p, CurvesAt, 2)),
        MatrixOf(p),
        new ChannelCurves(Curve(p, CurvesAt + CurvesLength, 0), Curve(p, CurvesAt + CurvesLength, 1), Curve(p, CurvesAt + CurvesLength, 2)),
        Mixing(p, AfterAt, CodeMixing));

    private double Gain(ReadOnlySpan<double> p, int c) => _gains[c] * Math.Exp(LogGain * p[GainAt + c]);

    private Matrix3 MatrixOf(ReadOnlySpan<double> p) =>
        Matrix3.Diagonal(Gain(p, 0), Gain(p, 1), Gain(p, 2)) * Mixing(p, MatrixAt, MatrixMixing);

    // Row c of a mixing whose rows add up to 1: two free numbers a row, for the two other channels.
    private static (int Next, int Last) Others(int c) => ((c + 1) % 3, (c + 2) % 3);

    private static Matrix3 Mixing(ReadOnlySpan<double> p, int at, double size)
    {
        double rg = size * p[at], rb = size * p[at + 1], gb = size * p[at + 2], gr = size * p[at + 3], br = size * p[at + 4], bg = size * p[at + 5];
        return new Matrix3(1 - rg - rb, rg, rb, gr, 1 - gr - gb, gb, br, bg, 1 - br - bg);
    }

    private static double Mixed(ReadOnlySpan<double> p, int at, double size, ReadOnlySpan<double> x, int c)
    {
        (int next, int last) = Others(c);
        return x[c] + (size * ((p[at + (2 * c)] * (x[next] - x[c])) + (p[at + (2 * c) + 1] * (x[last] - x[c]))));
    }

    private static void AddMixing(Span<double> row, int at, double size, ReadOnlySpan<double> x, int c, double slope)
    {
        (int next, int last) = Others(c);
        row[at + (2 * c)] += slope * size * (x[next] - x[c]);
        row[at + (2 * c) + 1] += slope * size * (x[last] - x[c]);
    }

    private static MonotoneCurve Curve(ReadOnlySpan<double> p, int at, int c)
    {
        int own = at + (CurveLength * (c + 1));
        double[] g = new double[Knots];
        for (int i = 0; i < Knots; i++)
        {
            for (int k = 0; k <= i; k++)
            {
                g[i] += s_root[i, k] * ((SharedSlope * p[at + 1 + k]) + (OwnSlope * p[own + 1 + k]));
            }

            g[i] = Math.Clamp(g[i], -6, 6);
        }

        return new MonotoneCurve((SharedStart * p[at]) + (OwnStart * p[own]), [.. g]);
    }

    private static void AddCurve(Span<double> row, int at, MonotoneCurve curve, int c, double x)
    {
        Span<double> d = stackalloc double[Knots];
        curve.Derivatives(x, d);
        int own = at + (CurveLength * (c + 1));
        row[at] += SharedStart;
        row[own] += OwnStart;
        for (int k = 0; k < Knots; k++)
        {
            double sum = 0;
            for (int i = k; i < Knots; i++)
            {
                sum += d[i] * s_root[i, k];
            }

            row[at + 1 + k] += SharedSlope * sum;
            row[own + 1 + k] += OwnSlope * sum;
        }
    }

    private static double Steep(SignalEncoding e, double x, bool toScene)
    {
        double h = 1e-6 * Math.Max(Math.Abs(x), 0.01);
        return toScene ? (e.ToScene(x + h) - e.ToScene(x - h)) / (2 * h) : (e.FromScene(x + h) - e.FromScene(x - h)) / (2 * h);
    }

    private static void Scale(Span<double> row, double factor)
    {
        foreach (ref double v in row)
        {
            v *= factor;
        }
    }

    private static void Combine(Matrix3 m, ReadOnlySpan<double> from, Span<double> to, int n)
    {
        for (int i = 0; i < n; i++)
        {
            (to[i], to[n + i], to[(2 * n) + i]) = m.Times(from[i], from[n + i], from[(2 * n) + i]);
        }
    }

    // Lower triangular root of the knots' prior correlation.
    private static double[,] Root()
    {
        Matrix<double> c = Matrix<double>.Build.Dense(Knots, Knots, (i, k) =>
        {
            double d = (i - k) / (double)(Knots - 1) / Smoothness;
            return Math.Exp(-d * d / 2) + (i == k ? 1e-6 : 0);
        });
        return c.Cholesky().Factor.ToArray();
    }
}
