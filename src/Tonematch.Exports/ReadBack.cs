using System.Globalization;
using Tonematch.Colour;

namespace Tonematch.Exports;

/// <summary>Reads results back and compares them before they count as written.</summary>
internal static class ReadBack
{
    /// <summary>Texts hold all digits of float values; interpolation adds rounding in the last one.</summary>
    private const double OfText = 2e-6;

    /// <summary>Half a code of a 16-bit picture, and rounding.</summary>
    public const double Of16Bits = 0.51 / 65535;

    /// <summary>Writes a text to memory, reads it back and compares.</summary>
    /// <param name="name">The file, for the message.</param>
    /// <param name="write">Writes the text.</param>
    /// <param name="read">Reads it as a function of code values.</param>
    /// <param name="exact">The intended function.</param>
    /// <returns>The text, and the function read back.</returns>
    /// <exception cref="InvalidOperationException">The two differ, which is a bug in the program.</exception>
    public static (string Text, Func<CodeRgb, CodeRgb> Back) Text(
        string name, Action<TextWriter> write, Func<TextReader, Func<CodeRgb, CodeRgb>> read, Func<CodeRgb, CodeRgb> exact)
    {
        StringWriter text = new(CultureInfo.InvariantCulture);
        write(text);
        Func<CodeRgb, CodeRgb> back = read(new StringReader(text.ToString()));
        Check(name, exact, back, OfText);
        return (text.ToString(), back);
    }

    /// <summary>Compares on a grid with points on and between the nodes of common table sizes.</summary>
    /// <param name="name">The file, for the message.</param>
    /// <param name="exact">What was meant.</param>
    /// <param name="back">The function read back.</param>
    /// <param name="tolerance">The largest allowed difference of a code value.</param>
    /// <exception cref="InvalidOperationException">The two differ, which is a bug in the program.</exception>
    public static void Check(string name, Func<CodeRgb, CodeRgb> exact, Func<CodeRgb, CodeRgb> back, double tolerance)
    {
        const int steps = 13;
        for (int i = 0; i < steps * steps * steps; i++)
        {
            CodeRgb code = new(i % steps / (steps - 1.0), i / steps % steps / (steps - 1.0), i / (steps * steps) / (steps - 1.0));
            CodeRgb a = exact(code), b = back(code);
            // Large values keep the same number of significant digits, not of decimal places.
            double scale = Math.Max(1, Math.Max(Math.Abs(a.R), Math.Max(Math.Abs(a.G), Math.Abs(a.B))));
            if (!(Math.Max(Math.Abs(a.R - b.R), Math.Max(Math.Abs(a.G - b.G), Math.Abs(a.B - b.B))) <= tolerance * scale))
            {
                throw new InvalidOperationException($"{name} reads back differently at {code}: {b} instead of {a}.");
            }
        }
    }
}
