using System.Collections.Immutable;

namespace Tonematch.Corrections;

/// <summary>
/// An increasing curve: y = start + integral from 0 to x of exp(g), where g is linear between knots equally spaced from
/// 0 to 1 and constant outside them, so the curve is straight below black and above white.
/// </summary>
/// <remarks>
/// J. O. Ramsay, 'Estimating smooth monotone functions', J. Royal Statistical Society B 60(2), 1998: a positive slope by
/// construction instead of by constraints. g = 0 with start 0 is y = x.
/// </remarks>
public sealed record MonotoneCurve
{
    private readonly double[] _cumulated;
    private readonly double[] _slopes;

    /// <summary>Makes a curve.</summary>
    /// <param name="start">The value at x = 0.</param>
    /// <param name="logSlopes">Natural logarithm of the slope at each knot, two or more, each within -20..20.</param>
    /// <exception cref="ArgumentException">A number is not finite or out of range, or there are fewer than two knots.</exception>
    public MonotoneCurve(double start, ImmutableArray<double> logSlopes)
    {
        if (logSlopes.IsDefault || logSlopes.Length < 2 || logSlopes.Any(g => !(Math.Abs(g) <= 20)) || !double.IsFinite(start))
        {
            throw new ArgumentException("A curve needs a finite start and two or more logarithms of slopes within -20..20.", nameof(logSlopes));
        }

        (Start, LogSlopes) = (start, logSlopes);
        _slopes = [.. logSlopes.Select(Math.Exp)];
        _cumulated = new double[logSlopes.Length];
        double h = 1.0 / (logSlopes.Length - 1);
        for (int k = 1; k < _cumulated.Length; k++)
        {
            _cumulated[k] = _cumulated[k - 1] + (h * _slopes[k - 1] * Phi(logSlopes[k] - logSlopes[k - 1]));
        }
    }

    /// <summary>The curve y = x.</summary>
    public static MonotoneCurve Straight { get; } = new(0, [0, 0]);

    /// <summary>The value at x = 0.</summary>
    public double Start { get; }

    /// <summary>Natural logarithm of the slope at each knot, from x = 0 to x = 1.</summary>
    public ImmutableArray<double> LogSlopes { get; }

    /// <summary>The curve's value. NaN in, NaN out.</summary>
    public double At(double x)
    {
        int last = LogSlopes.Length - 1;
        if (x <= 0)
        {
            return Start + (_slopes[0] * x);
        }

        if (x >= 1)
        {
            return Start + _cumulated[last] + (_slopes[last] * (x - 1));
        }

        if (double.IsNaN(x))
        {
            return x;
        }

        int k = Math.Min((int)(x * last), last - 1);
        double along = (x * last) - k;
        double rise = (LogSlopes[k + 1] - LogSlopes[k]) * along;
        return Start + _cumulated[k] + (along / last * _slopes[k] * Phi(rise));
    }

    /// <summary>The value, the slope and the derivatives by the knots, for a finite x.</summary>
    internal CurvePoint PointAt(double x)
    {
        int last = LogSlopes.Length - 1;
        if (x <= 0)
        {
            double below = _slopes[0] * x;
            return new CurvePoint(Start + below, _slopes[0], 0, below, 0);
        }

        if (x >= 1)
        {
            double above = _slopes[last] * (x - 1);
            return new CurvePoint(Start + _cumulated[last] + above, _slopes[last], last, above, 0);
        }

        int k = Math.Min((int)(x * last), last - 1);
        return Within(k, (x * last) - k);
    }

    /// <summary>Derivatives of the rise between knots k and k + 1 by the logarithms of their slopes.</summary>
    internal (double Left, double Right) Segment(int k) => Within(k, 1) is var p ? (p.Left, p.Right) : default;

    // A part ('along' 0..1) of the way from knot k to the next: the integral of exp(a + z t) over it, and of t exp(a + z t).
    private CurvePoint Within(int k, double along)
    {
        double z = (LogSlopes[k + 1] - LogSlopes[k]) * along, e = Math.Exp(z);
        double phi = Math.Abs(z) < 1e-3 ? Phi(z) : (e - 1) / z;
        double psi = Math.Abs(z) < 1e-2
            ? 0.5 + (z / 3) + (z * z / 8) + (z * z * z / 30) + (z * z * z * z / 144)
            : ((e * (z - 1)) + 1) / (z * z);
        double step = along / (LogSlopes.Length - 1) * _slopes[k];
        double rise = step * phi, right = step * along * psi;
        return new CurvePoint(Start + _cumulated[k] + rise, _slopes[k] * e, k, rise - right, right);
    }

    /// <inheritdoc/>
    public bool Equals(MonotoneCurve? other) =>
        other is not null && Start.Equals(other.Start) && LogSlopes.AsSpan().SequenceEqual(other.LogSlopes.AsSpan());

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Start, LogSlopes.Length, LogSlopes[0], LogSlopes[^1]);

    // (exp(z) - 1) / z.
    private static double Phi(double z) => Math.Abs(z) < 1e-3 ? 1 + (z / 2) + (z * z / 6) + (z * z * z / 24) : (Math.Exp(z) - 1) / z;
}

/// <summary>A monotone curve at one x.</summary>
/// <param name="Value">The value.</param>
/// <param name="Slope">The slope, above 0.</param>
/// <param name="Knot">The knot at or before x.</param>
/// <param name="Left">Derivative of the rise since that knot by the logarithm of its slope.</param>
/// <param name="Right">The same for the next knot; 0 outside 0..1.</param>
internal readonly record struct CurvePoint(double Value, double Slope, int Knot, double Left, double Right);
