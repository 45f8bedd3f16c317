using Tonematch.Corrections;

namespace Tonematch.Formats;

/// <summary>A correction's numbers and formula as plain text, for people.</summary>
public static class NumbersText
{
    /// <summary>Writes the text: LF line ends, numbers with all their digits.</summary>
    public static void Write(TextWriter writer, Correction correction)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(correction);
        writer.Write($"Correction of kind {correction.Kind.Name()}\n");
        writer.Write($"in:  code values of camera B, {correction.SecondaryEncoding.Title}\n");
        writer.Write($"out: code values like camera A's, {correction.PrimaryEncoding.Title}\n\n");
        int step = 1;
        foreach (string line in CorrectionFormula.Of(correction))
        {
            writer.Write($"{step++}. {line}\n");
        }

        writer.Write('\n');
        int widest = correction.Numbers.Select(n => n.Name.Length).DefaultIfEmpty().Max();
        foreach ((string name, double value) in correction.Numbers)
        {
            writer.Write($"{name.PadRight(widest)} = {NumberText.Of(value)}\n");
        }
    }
}
