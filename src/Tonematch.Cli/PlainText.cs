using System.Globalization;
using System.Text;

namespace Tonematch.Cli;

/// <summary>Makes text safe for a screen.</summary>
internal static class PlainText
{
    // On a narrower screen nothing is laid out, and the screen breaks the lines itself.
    private const int NarrowestWidth = 30;

    /// <summary>
    /// The text with a question mark for every character that would control the screen, since titles and file names are
    /// untrusted. Line ends and tabs stay.
    /// </summary>
    public static string Shown(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        return text.Any(Acts) ? string.Concat(text.Select(c => Acts(c) ? '?' : c)) : text;
    }

    /// <summary>
    /// The text in lines of at most this width, broken between words; further lines are indented like the first plus
    /// two columns.
    /// </summary>
    /// <param name="text">One line, or several with '\n' between.</param>
    /// <param name="width">Columns.</param>
    public static string Wrapped(string text, int width)
    {
        ArgumentNullException.ThrowIfNull(text);
        return width is < NarrowestWidth or int.MaxValue || text.Length <= width ? text : string.Join('\n', text.Split('\n').SelectMany(l => Lines(l, width)));
    }

    private static IEnumerable<string> Lines(string line, int width)
    {
        string indent = line[..(line.Length - line.TrimStart(' ').Length)];
        StringBuilder now = new(indent);
        bool empty = true;
        foreach (string word in line.Trim(' ').Split(' '))
        {
            if (!empty && now.Length + 1 + word.Length > width)
            {
                yield return now.ToString();
                now.Clear().Append(indent).Append("  ");
                empty = true;
            }

            now.Append(empty ? "" : " ").Append(word);
            empty = false;
        }

        yield return now.ToString();
    }

    // Control characters, and those that change the writing direction (Unicode Standard Annex 9, explicit formatting).
    private static bool Acts(char c) => c is not ('\n' or '\t')
        && (char.IsControl(c) || (CharUnicodeInfo.GetUnicodeCategory(c) == UnicodeCategory.Format && c is (>= '\u202A' and <= '\u202E') or (>= '\u2066' and <= '\u2069')));
}
