using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Models;

/// <summary>
/// A kind of correction together with local effects of the cameras: each locality except a reference has a factor on
/// the secondary's light per channel (exposure and white, from local tone mapping and shading) and light added to all
/// channels (veil).
/// </summary>
/// <param name="inner">The kind.</param>
/// <param name="samples">Pairs of at least two localities.</param>
/// <param name="named">The localities to distinguish; pairs of others are treated like the reference.</param>
/// <param name="reference">The locality relative to which the others are measured.</param>
internal sealed class LocalitiesModel(ParametricModel inner, FitSamples samples, IReadOnlyList<string> named, string reference) : ParametricModel
{
    /// <summary>Parameters per locality.</summary>
    public const int Terms = 4;

    // Expected sizes: a third of a stop of exposure or white, and glare of a few hundredths of white.
    private const double LogFactor = 0.25;
    private const double Veil = 0.02;

    private readonly Dictionary<string, int> _at = named
        .Where(l => l != reference).Order(StringComparer.Ordinal).Select((l, i) => (l, i)).ToDictionary(t => t.l, t => t.i, StringComparer.Ordinal);

    private readonly double[] _up = new double[3];
    private readonly double[] _down = new double[3];
    private double[] _inner = [];

    /// <summary>The number of localities with their own parameters.</summary>
    public int Count => _at.Count;

    public override int ParameterCount => inner.ParameterCount + (Terms * _at.Count);

    public override bool GivesLight => inner.GivesLight;

    /// <summary>The pair as it would be in the reference locality.</summary>
    public FitPair AsInScene(ReadOnlySpan<double> p, FitPair pair) => _at.TryGetValue(pair.Locality, out int k)
        ? samples.Lit(pair, Factor(p, k), p[inner.ParameterCount + (Terms * k) + 3])
        : pair;

    /// <summary>The factors of a locality, and the light added there.</summary>
    public (SceneRgb Factor, double Veil)? Of(ReadOnlySpan<double> p, string locality) => _at.TryGetValue(locality, out int k)
        ? (Factor(p, k), p[inner.ParameterCount + (Terms * k) + 3])
        : null;

    public override double[] Start(FitSamples samples) => [.. inner.Start(samples), .. new double[Terms * _at.Count]];

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        int m = inner.ParameterCount;
        centre.Clear();
        inner.Prior(centre[..m], precision[..m]);
        for (int j = m; j < precision.Length; j++)
        {
            precision[j] = 1 / ((j - m) % Terms == 3 ? Veil : LogFactor);
        }
    }

    public override int GroupOf(int parameter) => parameter < inner.ParameterCount
        ? inner.GroupOf(parameter)
        : int.MaxValue - ((parameter - inner.ParameterCount) % Terms == 3 ? 1 : 0);

    public override void Prepare(ReadOnlySpan<double> p) => inner.Prepare(p[..inner.ParameterCount]);

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y) =>
        inner.Evaluate(p[..inner.ParameterCount], AsInScene(p, pair), y);

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        const double h = 1e-5;
        int m = inner.ParameterCount, n = ParameterCount;
        if (_inner.Length == 0)
        {
            _inner = new double[3 * m];
        }

        inner.Evaluate(p[..m], AsInScene(p, pair), y, _inner);
        dy[..(3 * n)].Clear();
        for (int c = 0; c < 3; c++)
        {
            _inner.AsSpan(c * m, m).CopyTo(dy[(c * n)..]);
        }

        if (!_at.TryGetValue(pair.Locality, out int k))
        {
            return;
        }

        double[] moved = [.. p];
        for (int j = m + (Terms * k); j < m + (Terms * (k + 1)); j++)
        {
            moved[j] = p[j] + h;
            inner.Evaluate(p[..m], AsInScene(moved, pair), _up);
            moved[j] = p[j] - h;
            inner.Evaluate(p[..m], AsInScene(moved, pair), _down);
            moved[j] = p[j];
            for (int c = 0; c < 3; c++)
            {
                dy[(c * n) + j] = (_up[c] - _down[c]) / (2 * h);
            }
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) =>
        inner.ToCorrection(p[..inner.ParameterCount], samples);

    private SceneRgb Factor(ReadOnlySpan<double> p, int k)
    {
        int at = inner.ParameterCount + (Terms * k);
        return new SceneRgb(Math.Exp(p[at]), Math.Exp(p[at + 1]), Math.Exp(p[at + 2]));
    }
}
