using System.Collections.Immutable;

namespace Tonematch.Corrections;

/// <summary>
/// A curve that always rises: y = start + integral from 0 to x of exp(g), where g is linear between knots equally spaced
/// from 0 to 1 and constant outside them, so the curve goes on straight below black and above white.
/// </summary>
/// <remarks>
/// J. O. Ramsay, 'Estimating smooth monotone functions', J. Royal Statistical Society B 60(2), 1998: a positive slope by
/// construction instead of by constraints. g = 0 with start 0 is y = x.
/// </remarks>
public sealed record MonotoneCurve
{
    private readonly double[] _cumulated;

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
        _cumulated = new double[logSlopes.Length];
        double h = 1.0 / (logSlopes.Length - 1);
        for (int k = 1; k < _cumulated.Length; k++)
        {
            _cumulated[k] = _cumulated[k - 1] + (h * Math.Exp(logSlopes[k - 1]) * Phi(logSlopes[k] - logSlopes[k - 1]));
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
            return Start + (Math.Exp(LogSlopes[0]) * x);
        }

        if (x >= 1)
        {
            return Start + _cumulated[last] + (Math.Exp(LogSlopes[last]) * (x - 1));
        }

        if (double.IsNaN(x))
        {
            return x;
        }

        int k = Math.Min((int)(x * last), last - 1);
        double along = (x * last) - k;
        double rise = (LogSlopes[k + 1] - LogSlopes[k]) * along;
        return Start + _cumulated[k] + (along / last * Math.Exp(LogSlopes[k]) * Phi(rise));
    }

    /// <summary>The slope there: above 0.</summary>
    internal double SlopeAt(double x)
    {
        int last = LogSlopes.Length - 1;
        double at = Math.Clamp(x, 0, 1) * last;
        int k = Math.Min((int)at, last - 1);
        return Math.Exp(LogSlopes[k] + ((LogSlopes[k + 1] - LogSlopes[k]) * (at - k)));
    }

    /// <summary>The derivatives of the value at x by the logarithms of the slopes at the knots.</summary>
    internal void Derivatives(double x, Span<double> byLogSlope)
    {
        byLogSlope.Clear();
        int last = LogSlopes.Length - 1;
        double h = 1.0 / last;
        if (x <= 0)
        {
            byLogSlope[0] = Math.Exp(LogSlopes[0]) * x;
            return;
        }

        for (int k = 0; k < last; k++)
        {
            double along = Math.Min((x - (k * h)) * last, 1);
            if (along <= 0)
            {
                break;
            }

            // integral of exp(a + z t) over 0..1 and of t exp(a + z t), the interval scaled to 0..1
            double a = Math.Exp(LogSlopes[k]) * along * h, z = (LogSlopes[k + 1] - LogSlopes[k]) * along;
            double whole = a * Phi(z), right = a * along * Psi(z);
            byLogSlope[k] += whole - right;
            byLogSlope[k + 1] += right;
        }

        if (x > 1)
        {
            byLogSlope[last] += Math.Exp(LogSlopes[last]) * (x - 1);
        }
    }

    /// <inheritdoc/>
    public bool Equals(MonotoneCurve? other) =>
        other is not null && Start.Equals(other.Start) && LogSlopes.AsSpan().SequenceEqual(other.LogSlopes.AsSpan());

    /// <inheritdoc/>
    public override int GetHashCode() => HashCode.Combine(Start, LogSlopes.Length, LogSlopes[0], LogSlopes[^1]);

    // (exp(z) - 1) / z.
    private static double Phi(double z) => Math.Abs(z) < 1e-3 ? 1 + (z / 2) + (z * z / 6) + (z * z * z / 24) : (Math.Exp(z) - 1) / z;

    // (exp(z) (z - 1) + 1) / z^2.
    private static double Psi(double z) => Math.Abs(z) < 1e-2
        ? 0.5 + (z / 3) + (z * z / 8) + (z * z * z / 30) + (z * z * z * z / 144)
        : ((Math.Exp(z) * (z - 1)) + 1) / (z * z);
}
