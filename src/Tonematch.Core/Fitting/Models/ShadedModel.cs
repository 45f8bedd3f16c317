using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Fitting.Models;

/// <summary>
/// A kind of correction together with uneven light: a second-degree surface over the primary's picture, the logarithm
/// of a factor on the secondary's light. Its mean over the pairs is 0, because a common factor is exposure and belongs
/// to the correction.
/// </summary>
/// <param name="inner">The kind.</param>
/// <param name="samples">Pairs whose places are known.</param>
internal sealed class ShadedModel(ParametricModel inner, FitSamples samples) : ParametricModel
{
    /// <summary>Parameters of the surface.</summary>
    public const int Terms = 5;

    // Expected size of each term from the centre of the pairs to their edge: a tenth of the light.
    private const double Expected = 0.1;

    private readonly Surface _surface = new(samples);
    private readonly double[] _up = new double[3];
    private readonly double[] _down = new double[3];
    private double[] _inner = [];

    public override int ParameterCount => inner.ParameterCount + Terms;

    public override bool GivesLight => inner.GivesLight;

    /// <summary>The logarithm of the factor on the secondary's light at a pair.</summary>
    public double LogLight(ReadOnlySpan<double> p, FitPair pair)
    {
        Span<double> terms = stackalloc double[Terms];
        _surface.At(pair, terms);
        double sum = 0;
        for (int k = 0; k < Terms; k++)
        {
            sum += p[inner.ParameterCount + k] * terms[k];
        }

        return sum;
    }

    public override double[] Start(FitSamples samples) => [.. inner.Start(samples), .. new double[Terms]];

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        inner.Prior(centre[..inner.ParameterCount], precision[..inner.ParameterCount]);
        precision[inner.ParameterCount..].Fill(1 / Expected);
    }

    public override int GroupOf(int parameter) => parameter < inner.ParameterCount ? inner.GroupOf(parameter) : int.MaxValue;

    public override void Prepare(ReadOnlySpan<double> p) => inner.Prepare(p[..inner.ParameterCount]);

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y) =>
        inner.Evaluate(p[..inner.ParameterCount], samples.Lit(pair, Math.Exp(LogLight(p, pair))), y);

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        const double h = 1e-5;
        int m = inner.ParameterCount, n = m + Terms;
        if (_inner.Length == 0)
        {
            _inner = new double[3 * m];
        }

        double log = LogLight(p, pair);
        inner.Evaluate(p[..m], samples.Lit(pair, Math.Exp(log)), y, _inner);
        inner.Evaluate(p[..m], samples.Lit(pair, Math.Exp(log + h)), _up);
        inner.Evaluate(p[..m], samples.Lit(pair, Math.Exp(log - h)), _down);
        Span<double> terms = stackalloc double[Terms];
        _surface.At(pair, terms);
        for (int c = 0; c < 3; c++)
        {
            _inner.AsSpan(c * m, m).CopyTo(dy[(c * n)..]);
            double slope = (_up[c] - _down[c]) / (2 * h);
            for (int k = 0; k < Terms; k++)
            {
                dy[(c * n) + m + k] = slope * terms[k];
            }
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) =>
        inner.ToCorrection(p[..inner.ParameterCount], samples);

    // x, y, x squared, y squared, x y, measured from the centre of the pairs in units of half their extent, each minus
    // its mean.
    private sealed class Surface
    {
        private readonly double _x, _y, _half;
        private readonly double[] _mean = new double[Terms];

        public Surface(FitSamples samples)
        {
            SamplePlace[] places = [.. samples.Pairs.Select(p => p.Place!.Value)];
            double left = places.Min(p => p.X), right = places.Max(p => p.X), top = places.Min(p => p.Y), bottom = places.Max(p => p.Y);
            (_x, _y) = ((left + right) / 2, (top + bottom) / 2);
            _half = Math.Max(Math.Max(right - left, bottom - top) / 2, 1e-9);
            double[] sum = new double[Terms], terms = new double[Terms];
            double weight = 0;
            foreach (FitPair pair in samples.Pairs)
            {
                At(pair, terms);
                weight += pair.Weight;
                for (int k = 0; k < Terms; k++)
                {
                    sum[k] += pair.Weight * terms[k];
                }
            }

            for (int k = 0; k < Terms; k++)
            {
                _mean[k] = sum[k] / weight;
            }
        }

        public void At(FitPair pair, Span<double> terms)
        {
            double x = (pair.Place!.Value.X - _x) / _half, y = (pair.Place!.Value.Y - _y) / _half;
            (terms[0], terms[1], terms[2], terms[3], terms[4]) = (x, y, x * x, y * y, x * y);
            for (int k = 0; k < Terms; k++)
            {
                terms[k] -= _mean[k];
            }
        }
    }
}
