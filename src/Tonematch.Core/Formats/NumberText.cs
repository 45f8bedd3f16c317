using System.Globalization;

namespace Tonematch.Formats;

/// <summary>Numbers as text for files: invariant, with the shortest digits that read back the same value.</summary>
internal static class NumberText
{
    /// <summary>
    /// A float, without an exponent where decimal digits suffice, because some readers do not support exponents.
    /// </summary>
    public static string Of(float value) => WithoutExponent(value.ToString("R", CultureInfo.InvariantCulture));

    /// <summary>A double, written in the same way.</summary>
    public static string Of(double value) => WithoutExponent(value.ToString("R", CultureInfo.InvariantCulture));

    private static string WithoutExponent(string shortest)
    {
        if (!shortest.Contains('E'))
        {
            return shortest == "-0" ? "0" : shortest;
        }

        // A decimal holds 28 digits: enough unless the value is below about 1e-20, where digits would be lost.
        bool exact = decimal.TryParse(shortest, NumberStyles.Float, CultureInfo.InvariantCulture, out decimal digits);
        string plain = digits.ToString(CultureInfo.InvariantCulture);
        return exact && double.Parse(plain, CultureInfo.InvariantCulture) == double.Parse(shortest, CultureInfo.InvariantCulture)
            ? plain
            : shortest;
    }
}
