using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text;

namespace Tonematch.Reporting;

/// <summary>
/// A piece of finished markup, made from interpolated strings: the literal parts are markup, every inserted value is
/// encoded (a file name cannot become markup), numbers use the invariant culture, and other pieces are inserted
/// unchanged.
/// </summary>
internal readonly record struct Html(string Markup)
{
    public static Html None => new("");

    public static Html Of(HtmlHandler markup) => new(markup.ToString());

    /// <summary>Text made safe for element content and for attributes in double quotes.</summary>
    public static Html Text(string text) => new(Encode(text));

    public static Html Join(IEnumerable<Html> pieces) => new(string.Concat(pieces.Select(p => p.Markup)));

    public static Html Each<T>(IEnumerable<T> items, Func<T, Html> each) => Join(items.Select(each));

    public static Html When(bool condition, Func<Html> piece) => condition ? piece() : None;

    public override string ToString() => Markup;

    /// <summary>
    /// The five characters with a meaning in markup become references. Characters that could reorder or hide text
    /// (controls, bidirectional overrides) become visible as their code numbers: a name must look like what it is.
    /// </summary>
    public static string Encode(string text)
    {
        StringBuilder result = new(text.Length + 16);
        for (int i = 0; i < text.Length; i++)
        {
            char c = text[i];
            switch (c)
            {
                case '&':
                    result.Append("&amp;");
                    break;
                case '<':
                    result.Append("&lt;");
                    break;
                case '>':
                    result.Append("&gt;");
                    break;
                case '"':
                    result.Append("&quot;");
                    break;
                case '\'':
                    result.Append("&#39;");
                    break;
                default:
                    bool lone = char.IsSurrogate(c) && !(char.IsHighSurrogate(c) && i + 1 < text.Length && char.IsLowSurrogate(text[i + 1]))
                        && !(char.IsLowSurrogate(c) && i > 0 && char.IsHighSurrogate(text[i - 1]));
                    if (lone || c is '\uFFFE' or '\uFFFF' || CharUnicodeInfo.GetUnicodeCategory(c) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator)
                    {
                        result.Append(CultureInfo.InvariantCulture, $"[U+{(int)c:X4}]");
                    }
                    else
                    {
                        result.Append(c);
                    }

                    break;
            }
        }

        return result.ToString();
    }
}

/// <summary>Builds <see cref="Html"/>: literal parts unchanged, values encoded.</summary>
[InterpolatedStringHandler]
internal readonly ref struct HtmlHandler
{
    private readonly StringBuilder _text;

    public HtmlHandler(int literalLength, int formattedCount) => _text = new StringBuilder(literalLength + (16 * formattedCount));

    public void AppendLiteral(string markup) => _text.Append(markup);

    public void AppendFormatted(Html piece) => _text.Append(piece.Markup);

    public void AppendFormatted(string? text) => _text.Append(Html.Encode(text ?? ""));

    public void AppendFormatted(int number) => _text.Append(CultureInfo.InvariantCulture, $"{number}");

    public void AppendFormatted(double number, string format = "0.##") =>
        _text.Append(Html.Encode(double.IsFinite(number) ? number.ToString(format, CultureInfo.InvariantCulture) : "n/a"));

    public override string ToString() => _text.ToString();
}
