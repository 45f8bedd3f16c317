using System.Globalization;

namespace Tonematch.Formats;

/// <summary>Numbers as text for files: invariant, shortest digits that give back the same value.</summary>
internal static class NumberText
{
    /// <summary>A float. Without an exponent where decimal digits can say it: some readers know none.</summary>
    public static string Of(float value) => WithoutExponent(value.ToString("R", CultureInfo.InvariantCulture));

    /// <summary>A double, in the same way.</summary>
    public static string Of(double value) => WithoutExponent(value.ToString("R", CultureInfo.InvariantCulture));

    private static string WithoutExponent(string shortest)
    {
        if (!shortest.Contains('E'))
        {
            return shortest == "-0" ? "0" : shortest;
        }

        // A decimal holds 28 digits: enough unless the value is below 1e-20 or so, where digits would be lost.
        bool exact = decimal.TryParse(shortest, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal digits);
        string plain = digits.ToString(CultureInfo.InvariantCulture);
        return exact && double.Parse(plain, CultureInfo.InvariantCulture) == double.Parse(shortest, CultureInfo.InvariantCulture)
            ? plain
            : shortest;
    }
}
