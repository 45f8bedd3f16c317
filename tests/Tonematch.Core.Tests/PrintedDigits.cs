namespace Tonematch.Core.Tests;

/// <summary>What a printed number can promise.</summary>
internal static class PrintedDigits
{
    /// <summary>
    /// Half a unit of the last printed digit (and a hair for binary rounding), but never below
    /// <paramref name="rounding"/>, the rounding of the computation itself.
    /// </summary>
    public static double HalfUnit(string printed, double rounding = 1e-13)
    {
        string[] parts = printed.Trim().ToUpperInvariant().Split('E');
        int point = parts[0].IndexOf('.', StringComparison.Ordinal);
        int decimals = point < 0 ? 0 : parts[0].Length - point - 1;
        int exponent = parts.Length > 1 ? int.Parse(parts[1], System.Globalization.CultureInfo.InvariantCulture) : 0;
        return Math.Max(0.501 * Math.Pow(10, exponent - decimals), rounding);
    }
}
