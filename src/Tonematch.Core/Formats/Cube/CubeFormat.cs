using System.Globalization;
using Tonematch.Colour;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Cube;

/// <summary>
/// The .cube text format (Adobe, 'Cube LUT Specification' 1.0, 2013), with the two INPUT_RANGE keywords and a 1D table
/// in front of a 3D one, which other writers use.
/// </summary>
/// <remarks>
/// Tolerant: white space, empty lines, comments, LF or CRLF, a byte order mark, keywords in any case, a title without
/// quotation marks. Strict: everything else. A table grows as its lines arrive, so a small file that claims a large
/// size uses no memory.
/// </remarks>
public static class CubeFormat
{
    private const int RowsBeforeGrowing = 4096;

    /// <summary>Reads a file.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The file is malformed; the message has its name and the line.</exception>
    public static CubeFile Read(TextReader reader, string fileName)
    {
        ArgumentNullException.ThrowIfNull(reader);
        ArgumentNullException.ThrowIfNull(fileName);
        TextLines lines = new(reader, fileName);
        Header header = new();
        float[] values = [];
        int rows = 0;
        bool inData = false;
        while (lines.Next() is { } line)
        {
            ReadOnlySpan<char> text = line.AsSpan().Trim();
            if (text.IsEmpty || text[0] == '#')
            {
                continue;
            }

            if (char.IsAsciiLetter(text[0]) && !IsNotANumberWord(text))
            {
                if (inData)
                {
                    throw lines.Fault($"keyword '{FirstWord(text)}' among the table's rows; keywords must come before them");
                }

                ReadKeyword(text, header, lines);
                continue;
            }

            if (!inData)
            {
                header.Complete(lines);
                inData = true;
            }

            if (rows == header.Rows)
            {
                throw lines.Fault($"more rows than the {header.Rows} that the size allows");
            }

            if (3 * rows == values.Length)
            {
                Array.Resize(ref values, (int)Math.Min(3L * header.Rows, Math.Max(3L * RowsBeforeGrowing, 2L * values.Length)));
            }

            ReadNumbers(text, values.AsSpan(3 * rows, 3), "a row of the table", lines);
            rows++;
        }

        if (!inData)
        {
            header.Complete(lines);
        }

        return rows == header.Rows
            ? header.ToFile(values)
            : throw lines.Fault($"the file ends after {rows} of {header.Rows} rows; it may have been cut off");
    }

    /// <summary>
    /// Writes a 3D table: LF line ends, invariant numbers without exponents, each with enough digits to read back the
    /// same float. DOMAIN lines are written only if the domain is not 0..1. In the title a quotation mark becomes an
    /// apostrophe and a line end a space; it is cut after 250 characters.
    /// </summary>
    public static void Write(TextWriter writer, Lut3D table, string title)
    {
        ArgumentNullException.ThrowIfNull(table);
        WriteHead(writer, title);
        writer.Write($"LUT_3D_SIZE {table.Size.ToString(CultureInfo.InvariantCulture)}\n");
        WriteDomain(writer, table.DomainMin, table.DomainMax);
        WriteRows(writer, table.Nodes);
    }

    /// <summary>Writes a 1D table, in the same way.</summary>
    public static void Write(TextWriter writer, Lut1D table, string title)
    {
        ArgumentNullException.ThrowIfNull(table);
        WriteHead(writer, title);
        writer.Write($"LUT_1D_SIZE {table.Size.ToString(CultureInfo.InvariantCulture)}\n");
        WriteDomain(writer, table.DomainMin, table.DomainMax);
        WriteRows(writer, table.Entries);
    }

    private static void ReadKeyword(ReadOnlySpan<char> text, Header header, TextLines lines)
    {
        ReadOnlySpan<char> word = FirstWord(text);
        ReadOnlySpan<char> rest = text[word.Length..].Trim();
        switch (word.ToString().ToUpperInvariant())
        {
            case "TITLE":
                header.Title = Once(header.Title, Unquoted(rest, lines), "TITLE", lines);
                break;
            case "LUT_1D_SIZE":
                header.Size1D = Once(header.Size1D, ReadSize(rest, "LUT_1D_SIZE", Lut1D.MinSize, Lut1D.MaxSize, lines), "LUT_1D_SIZE", lines);
                break;
            case "LUT_3D_SIZE":
                header.Size3D = Once(header.Size3D, ReadSize(rest, "LUT_3D_SIZE", Lut3D.MinSize, Lut3D.MaxSize, lines), "LUT_3D_SIZE", lines);
                break;
            case "DOMAIN_MIN":
                header.DomainMin = Once(header.DomainMin, ReadTriple(rest, "DOMAIN_MIN", lines), "DOMAIN_MIN", lines);
                break;
            case "DOMAIN_MAX":
                header.DomainMax = Once(header.DomainMax, ReadTriple(rest, "DOMAIN_MAX", lines), "DOMAIN_MAX", lines);
                break;
            case "LUT_1D_INPUT_RANGE":
                header.Range1D = Once(header.Range1D, ReadRange(rest, "LUT_1D_INPUT_RANGE", lines), "LUT_1D_INPUT_RANGE", lines);
                break;
            case "LUT_3D_INPUT_RANGE":
                header.Range3D = Once(header.Range3D, ReadRange(rest, "LUT_3D_INPUT_RANGE", lines), "LUT_3D_INPUT_RANGE", lines);
                break;
            default:
                throw lines.Fault($"unknown keyword '{Shown(word)}'");
        }
    }

    private static T Once<T>(T? before, T now, string keyword, TextLines lines)
        where T : struct => before is null ? now : throw lines.Fault($"{keyword} is given a second time");

    private static string Once(string? before, string now, string keyword, TextLines lines) =>
        before is null ? now : throw lines.Fault($"{keyword} is given a second time");

    private static string Unquoted(ReadOnlySpan<char> text, TextLines lines)
    {
        bool opens = text.Length > 0 && text[0] == '"', closes = text.Length > 1 && text[^1] == '"';
        if (opens != closes)
        {
            throw lines.Fault("the title has one quotation mark without the other");
        }

        return (opens ? text[1..^1] : text).ToString();
    }

    private static int ReadSize(ReadOnlySpan<char> text, string keyword, int min, int max, TextLines lines)
    {
        text = WithoutComment(text);
        if (text.IndexOfAny(' ', '\t') >= 0 || text.IsEmpty)
        {
            throw lines.Fault($"{keyword} must be followed by one whole number");
        }

        return int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int size) && size >= min && size <= max
            ? size
            : throw lines.Fault($"{keyword} '{Shown(text)}' is not a whole number from {min} to {max}");
    }

    private static CodeRgb ReadTriple(ReadOnlySpan<char> text, string keyword, TextLines lines)
    {
        Span<float> v = stackalloc float[3];
        ReadNumbers(text, v, keyword, lines);
        return new CodeRgb(v[0], v[1], v[2]);
    }

    private static (CodeRgb Min, CodeRgb Max) ReadRange(ReadOnlySpan<char> text, string keyword, TextLines lines)
    {
        Span<float> v = stackalloc float[2];
        ReadNumbers(text, v, keyword, lines);
        return v[1] > v[0]
            ? (CodeRgb.Grey(v[0]), CodeRgb.Grey(v[1]))
            : throw lines.Fault($"{keyword} must rise: its second number is not above its first");
    }

    private static void ReadNumbers(ReadOnlySpan<char> text, Span<float> values, string where, TextLines lines)
    {
        ReadOnlySpan<char> all = WithoutComment(text);
        int found = 0;
        foreach (Range part in all.SplitAny(' ', '\t'))
        {
            ReadOnlySpan<char> number = all[part];
            if (number.IsEmpty)
            {
                continue;
            }

            if (found == values.Length)
            {
                throw lines.Fault($"{where} has more than {values.Length} numbers");
            }

            // Parsed directly as float: going through double would round twice.
            if (!float.TryParse(number, NumberStyles.Float, CultureInfo.InvariantCulture, out float value))
            {
                string advice = number.Contains(',') ? " (numbers need a decimal point and no commas)" : "";
                throw lines.Fault($"'{Shown(number)}' in {where} is not a number{advice}");
            }

            if (!float.IsFinite(value))
            {
                throw lines.Fault($"'{Shown(number)}' in {where} is not a finite number");
            }

            values[found++] = value;
        }

        if (found < values.Length)
        {
            throw lines.Fault($"{where} has {found} of {values.Length} numbers");
        }
    }

    private static ReadOnlySpan<char> WithoutComment(ReadOnlySpan<char> text)
    {
        int comment = text.IndexOf('#');
        return comment < 0 ? text : text[..comment].TrimEnd();
    }

    private static ReadOnlySpan<char> FirstWord(ReadOnlySpan<char> text)
    {
        int end = text.IndexOfAny(' ', '\t');
        return end < 0 ? text : text[..end];
    }

    // 'nan' and 'inf' begin with a letter but are invalid numbers, not unknown keywords.
    private static bool IsNotANumberWord(ReadOnlySpan<char> text) =>
        FirstWord(text) is var word
        && (word.StartsWith("nan", StringComparison.OrdinalIgnoreCase) || word.StartsWith("inf", StringComparison.OrdinalIgnoreCase));

    // A short quotation from the file for a message, without characters that disturb a terminal.
    private static string Shown(ReadOnlySpan<char> text)
    {
        const int longest = 40;
        string shown = string.Concat(text[..Math.Min(text.Length, longest)].ToString().Select(c => char.IsControl(c) ? '?' : c));
        return text.Length > longest ? shown + "..." : shown;
    }

    private static void WriteHead(TextWriter writer, string title)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(title);
        const int longest = 250;
        string plain = new([.. title.Take(longest).Select(c => c == '"' ? '\'' : char.IsControl(c) ? ' ' : c)]);
        writer.Write($"TITLE \"{plain}\"\n");
    }

    private static void WriteDomain(TextWriter writer, CodeRgb min, CodeRgb max)
    {
        if (min != CodeRgb.Grey(0) || max != CodeRgb.Grey(1))
        {
            writer.Write($"DOMAIN_MIN {Text(min.R)} {Text(min.G)} {Text(min.B)}\n");
            writer.Write($"DOMAIN_MAX {Text(max.R)} {Text(max.G)} {Text(max.B)}\n");
        }

        static string Text(double value) => NumberText.Of((float)value);
    }

    private static void WriteRows(TextWriter writer, ReadOnlySpan<float> values)
    {
        for (int n = 0; n < values.Length; n += 3)
        {
            writer.Write(NumberText.Of(values[n]));
            writer.Write(' ');
            writer.Write(NumberText.Of(values[n + 1]));
            writer.Write(' ');
            writer.Write(NumberText.Of(values[n + 2]));
            writer.Write('\n');
        }
    }

    // The keywords' values, collected until the first row.
    private sealed class Header
    {
        public string? Title { get; set; }

        public int? Size1D { get; set; }

        public int? Size3D { get; set; }

        public CodeRgb? DomainMin { get; set; }

        public CodeRgb? DomainMax { get; set; }

        public (CodeRgb Min, CodeRgb Max)? Range1D { get; set; }

        public (CodeRgb Min, CodeRgb Max)? Range3D { get; set; }

        public int Rows { get; private set; }

        public void Complete(TextLines lines)
        {
            if (Size1D is null && Size3D is null)
            {
                throw lines.Fault("no LUT_1D_SIZE or LUT_3D_SIZE before the first row, or not a .cube file at all");
            }

            bool domain = DomainMin is not null || DomainMax is not null;
            if (domain && (Range1D is not null || Range3D is not null))
            {
                throw lines.Fault("both DOMAIN_MIN/DOMAIN_MAX and an INPUT_RANGE are given; one of them must go");
            }

            if (domain && Size1D is not null && Size3D is not null)
            {
                throw lines.Fault("DOMAIN_MIN/DOMAIN_MAX does not say which of the two tables it is for; use the INPUT_RANGE keywords");
            }

            if ((Range1D is not null && Size1D is null) || (Range3D is not null && Size3D is null))
            {
                throw lines.Fault("an INPUT_RANGE is given for a table that the file does not have");
            }

            CodeRgb min = DomainMin ?? CodeRgb.Grey(0), max = DomainMax ?? CodeRgb.Grey(1);
            if (!(max.R > min.R && max.G > min.G && max.B > min.B))
            {
                throw lines.Fault("DOMAIN_MAX must be above DOMAIN_MIN in each channel");
            }

            int side = Size3D ?? 0;
            Rows = (Size1D ?? 0) + (side * side * side);
        }

        public CubeFile ToFile(float[] values)
        {
            int shaperValues = 3 * (Size1D ?? 0);
            CodeRgb? min = DomainMin, max = DomainMax;
            Lut1D? shaper = Size1D is { } size1D
                ? new Lut1D(size1D, values[..shaperValues], Range1D?.Min ?? min, Range1D?.Max ?? max)
                : null;
            Lut3D? table = Size3D is { } size3D
                ? new Lut3D(size3D, values[shaperValues..(3 * Rows)], Range3D?.Min ?? min, Range3D?.Max ?? max)
                : null;
            return new CubeFile(Title, shaper, table);
        }
    }
}
