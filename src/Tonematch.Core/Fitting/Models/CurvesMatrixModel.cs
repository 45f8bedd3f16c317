using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>
/// Curves, matrix, curves with mixings. Every number is in units of its expected standard deviation ('whitened'), so
/// the prior is the same for all of them. The curves' log slopes are smooth a priori (a Gaussian process over the
/// knots), and the three channels share one curve up to small deviations.
/// </summary>
internal sealed class CurvesMatrixModel : ParametricModel
{
    // Knots of each curve.
    private const int Knots = 6;

    // Expected standard deviations: see docs/method/fitting.md for how they were chosen.
    private const double Smoothness = 0.35; // of the range, correlation length of a curve's slope
    private const double SharedSlope = 0.35; // logarithm of slope, common to the channels
    private const double OwnSlope = 0.012; // logarithm of slope, per channel
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

    // Values shared by all pairs, for the parameters of the last Prepare.
    private readonly Curve[] _before = new Curve[3];
    private readonly Curve[] _after = new Curve[3];
    private Matrix3 _mixBefore = Matrix3.Identity;
    private Matrix3 _matrix = Matrix3.Identity;
    private Matrix3 _fromSecondary = Matrix3.Identity;
    private Matrix3 _mixAfter = Matrix3.Identity;
    private double[] _gain = [1, 1, 1];

    public CurvesMatrixModel(FitSamples samples)
    {
        _samples = samples;
        _gains = ClosedForm.Gains(samples);
        _samePrimaries = samples.PrimaryEncoding.Primaries == samples.SecondaryEncoding.Primaries;
        _toPrimaries = _samePrimaries ? Matrix3.Identity : samples.PrimaryEncoding.XyzToRgb * samples.SecondaryEncoding.RgbToXyz;
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
            _before[c] = new Curve(CurveOf(p, CurvesAt, c));
            _after[c] = new Curve(CurveOf(p, CurvesAt + CurvesLength, c));
        }

        _gain = [Gain(p, 0), Gain(p, 1), Gain(p, 2)];
        _mixBefore = Mixing(p, BeforeAt, CodeMixing);
        _matrix = MatrixOf(p);
        _fromSecondary = _samePrimaries ? _matrix : _matrix * _toPrimaries;
        _mixAfter = Mixing(p, AfterAt, CodeMixing);
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y)
    {
        SignalEncoding from = _samples.SecondaryEncoding, to = _samples.PrimaryEncoding;
        (double r, double g, double b) = _mixBefore.Times(pair.Secondary.R, pair.Secondary.G, pair.Secondary.B);
        (r, g, b) = _fromSecondary.Times(
            from.ToScene(Undone(0, r)), from.ToScene(Undone(1, g)), from.ToScene(Undone(2, b)));
        (y[0], y[1], y[2]) = _mixAfter.Times(
            _after[0].Shape.At(to.FromScene(r)), _after[1].Shape.At(to.FromScene(g)), _after[2].Shape.At(to.FromScene(b)));
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        int n = ParameterCount;
        dy.Clear();
        Span<double> x = [pair.Secondary.R, pair.Secondary.G, pair.Secondary.B];
        Span<double> v = stackalloc double[3]; // the secondary's light
        Span<double> steepBefore = stackalloc double[3];
        Span<double> steepAfter = stackalloc double[3];
        Span<CurvePoint> before = stackalloc CurvePoint[3];
        Span<CurvePoint> after = stackalloc CurvePoint[3];
        (double m0, double m1, double m2) = _mixBefore.Times(x[0], x[1], x[2]);
        ReadOnlySpan<double> mixed = [m0, m1, m2];
        for (int c = 0; c < 3; c++)
        {
            before[c] = _before[c].Shape.PointAt(mixed[c]);
            double undone = Correction.WithinReach(before[c].Value);
            (v[c], steepBefore[c]) = ToScene(_samples.SecondaryEncoding, undone);
            steepBefore[c] = undone == before[c].Value ? steepBefore[c] : 0;
        }

        (double l0, double l1, double l2) = _fromSecondary.Times(v[0], v[1], v[2]);
        ReadOnlySpan<double> light = [l0, l1, l2];
        (double s0, double s1, double s2) = _samePrimaries ? (v[0], v[1], v[2]) : _toPrimaries.Times(v[0], v[1], v[2]);
        ReadOnlySpan<double> source = [s0, s1, s2];
        for (int c = 0; c < 3; c++)
        {
            (double code, double steep) = FromScene(_samples.PrimaryEncoding, light[c]);
            after[c] = _after[c].Shape.PointAt(code);
            steepAfter[c] = steep * after[c].Slope;
        }

        ReadOnlySpan<double> curved = [after[0].Value, after[1].Value, after[2].Value];
        (y[0], y[1], y[2]) = _mixAfter.Times(curved[0], curved[1], curved[2]);

        // From the result back to each parameter: row o of the last mixing, channel c before it, channel d of the
        // secondary.
        Span<double> bySecondary = stackalloc double[3];
        for (int o = 0; o < 3; o++)
        {
            Span<double> row = dy.Slice(o * n, n);
            AddMixing(row, AfterAt, CodeMixing, curved, o, 1);
            bySecondary.Clear();
            for (int c = 0; c < 3; c++)
            {
                double byCurve = At(_mixAfter, o, c), byLight = byCurve * steepAfter[c];
                _after[c].AddTo(row, CurvesAt + CurvesLength, c, after[c], byCurve);
                row[GainAt + c] = byLight * LogGain * light[c];
                AddMixing(row, MatrixAt, MatrixMixing, source, c, byLight * _gain[c]);
                for (int d = 0; d < 3; d++)
                {
                    bySecondary[d] += byLight * At(_fromSecondary, c, d);
                }
            }

            for (int d = 0; d < 3; d++)
            {
                double byCurve = bySecondary[d] * steepBefore[d];
                _before[d].AddTo(row, CurvesAt, d, before[d], byCurve);
                AddMixing(row, BeforeAt, CodeMixing, x, d, byCurve * before[d].Slope);
            }
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) => new CurvesMatrixCorrection(
        samples.SecondaryEncoding,
        samples.PrimaryEncoding,
        Mixing(p, BeforeAt, CodeMixing),
        new ChannelCurves(CurveOf(p, CurvesAt, 0), CurveOf(p, CurvesAt, 1), CurveOf(p, CurvesAt, 2)),
        MatrixOf(p),
        new ChannelCurves(
            CurveOf(p, CurvesAt + CurvesLength, 0), CurveOf(p, CurvesAt + CurvesLength, 1), CurveOf(p, CurvesAt + CurvesLength, 2)),
        Mixing(p, AfterAt, CodeMixing));

    // Clamped like the correction itself: otherwise a curve could grow beyond any signal while the gains undo it, and
    // the fitted model would differ from the delivered correction.
    private double Undone(int c, double code) => Correction.WithinReach(_before[c].Shape.At(code));

    private double Gain(ReadOnlySpan<double> p, int c) => _gains[c] * Math.Exp(LogGain * p[GainAt + c]);

    private Matrix3 MatrixOf(ReadOnlySpan<double> p) =>
        Matrix3.Diagonal(Gain(p, 0), Gain(p, 1), Gain(p, 2)) * Mixing(p, MatrixAt, MatrixMixing);

    // Row c of a mixing whose rows add up to 1: two free parameters per row, for the two other channels.
    private static (int Next, int Last) Others(int c) => ((c + 1) % 3, (c + 2) % 3);

    private static Matrix3 Mixing(ReadOnlySpan<double> p, int at, double size)
    {
        double rg = size * p[at], rb = size * p[at + 1], gb = size * p[at + 2], gr = size * p[at + 3], br = size * p[at + 4], bg = size * p[at + 5];
        return new Matrix3(1 - rg - rb, rg, rb, gr, 1 - gr - gb, gb, br, bg, 1 - br - bg);
    }

    private static void AddMixing(Span<double> row, int at, double size, ReadOnlySpan<double> x, int c, double slope)
    {
        (int next, int last) = Others(c);
        row[at + (2 * c)] += slope * size * (x[next] - x[c]);
        row[at + (2 * c) + 1] += slope * size * (x[last] - x[c]);
    }

    private static MonotoneCurve CurveOf(ReadOnlySpan<double> p, int at, int c)
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

    // Value and slope of the camera curves; the formulas come from the encoding.
    private static (double Value, double Slope) ToScene(SignalEncoding e, double code)
    {
        double h = 1e-6 * Math.Max(Math.Abs(code), 0.01), value = e.ToScene(code);
        return (value, (e.ToScene(code + h) - value) / h);
    }

    private static (double Value, double Slope) FromScene(SignalEncoding e, double light)
    {
        double h = 1e-6 * Math.Max(Math.Abs(light), 0.01), value = e.FromScene(light);
        return (value, (e.FromScene(light + h) - value) / h);
    }

    private static double At(Matrix3 m, int row, int column) => (row, column) switch
    {
        (0, 0) => m.M11,
        (0, 1) => m.M12,
        (0, 2) => m.M13,
        (1, 0) => m.M21,
        (1, 1) => m.M22,
        (1, 2) => m.M23,
        (2, 0) => m.M31,
        (2, 1) => m.M32,
        _ => m.M33,
    };

    // Lower triangular Cholesky factor of the knots' prior correlation.
    private static double[,] Root()
    {
        Matrix<double> c = Matrix<double>.Build.Dense(Knots, Knots, (i, k) =>
        {
            double d = (i - k) / (double)(Knots - 1) / Smoothness;
            return Math.Exp(-d * d / 2) + (i == k ? 1e-6 : 0);
        });
        return c.Cholesky().Factor.ToArray();
    }

    // A curve with the derivatives of its value at each knot by its parameters.
    private sealed class Curve
    {
        private readonly double[] _atKnot = new double[Knots * Knots];

        public Curve(MonotoneCurve shape)
        {
            Shape = shape;
            for (int knot = 1; knot < Knots; knot++)
            {
                (double left, double right) = shape.Segment(knot - 1);
                for (int k = 0; k < Knots; k++)
                {
                    _atKnot[(knot * Knots) + k] = _atKnot[((knot - 1) * Knots) + k] + (left * s_root[knot - 1, k]) + (right * s_root[knot, k]);
                }
            }
        }

        public MonotoneCurve Shape { get; }

        // row += factor * derivatives of the value there by the curve's parameters.
        public void AddTo(Span<double> row, int at, int channel, CurvePoint point, double factor)
        {
            int own = at + (CurveLength * (channel + 1));
            row[at] += factor * SharedStart;
            row[own] += factor * OwnStart;
            ReadOnlySpan<double> whole = _atKnot.AsSpan(point.Knot * Knots, Knots);
            int next = Math.Min(point.Knot + 1, Knots - 1);
            for (int k = 0; k < Knots; k++)
            {
                double d = factor * (whole[k] + (point.Left * s_root[point.Knot, k]) + (point.Right * s_root[next, k]));
                row[at + 1 + k] += SharedSlope * d;
                row[own + 1 + k] += OwnSlope * d;
            }
        }
    }
}
