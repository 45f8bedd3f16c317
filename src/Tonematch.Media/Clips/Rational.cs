using System.Globalization;

namespace Tonematch.Media.Clips;

/// <summary>An exact ratio, such as a frame rate (30000/1001) or a time base (1/90000).</summary>
/// <param name="Numerator">The numerator.</param>
/// <param name="Denominator">The denominator, above 0.</param>
public readonly record struct Rational(long Numerator, long Denominator)
{
    /// <summary>The ratio as a number; NaN for the default value.</summary>
    public double Value => (double)Numerator / Denominator;

    /// <summary>Reads '30000/1001' or '16:9'; null for anything else, including a zero on either side.</summary>
    public static Rational? Parse(string? text)
    {
        string[] parts = (text ?? "").Split('/', ':');
        return parts.Length == 2
            && long.TryParse(parts[0], NumberStyles.None, CultureInfo.InvariantCulture, out long n)
            && long.TryParse(parts[1], NumberStyles.None, CultureInfo.InvariantCulture, out long d)
            && n > 0 && d > 0 ? new Rational(n, d) : null;
    }

    /// <inheritdoc/>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{Numerator}/{Denominator}");
}
