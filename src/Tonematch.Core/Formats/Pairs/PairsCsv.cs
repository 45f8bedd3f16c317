using System.Collections.Immutable;
using System.Globalization;
using System.Text;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Formats.Pairs;

/// <summary>
/// The table of corresponding colours, PAIRS.csv: header
/// <c>id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b[,weight[,label[,locality]]]</c>, then
/// one pair per line; code values on 0..1 with decimal points, fields with a comma in double quotes (RFC 4180).
/// </summary>
public static class PairsCsv
{
    /// <summary>
    /// The largest number of pairs that is read: more than any footage gives, and few enough to hold in memory.
    /// </summary>
    public const int MaxPairs = 200_000;

    private const int MaxLineLength = 4096;

    // Narrow-range video reaches -0.07 and 1.09; scene-referred values may go a little further.
    private const double LowestValue = -0.5;
    private const double HighestValue = 1.5;

    // Only the ratios of weights matter; beyond these limits, sums and squares of weights overflow or underflow.
    private const double SmallestWeight = 1e-9;
    private const double LargestWeight = 1e9;

    private static readonly string[] s_columns =
    [
        "id", "group", "primary_r", "primary_g", "primary_b", "secondary_r", "secondary_g", "secondary_b", "weight", "label", "locality",
    ];

    private const int Needed = 8;

    /// <summary>Reads the table. Blank lines, CRLF and a byte order mark are allowed.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">How messages name the file.</param>
    /// <param name="primaryEncoding">What the primary's code values mean.</param>
    /// <param name="secondaryEncoding">What the secondary's code values mean.</param>
    /// <exception cref="UnusableInputException">The text is not a valid table; the message names the line.</exception>
    public static SampleSet Read(
        TextReader reader, string fileName, SignalEncoding primaryEncoding, SignalEncoding secondaryEncoding)
    {
        ArgumentNullException.ThrowIfNull(reader);
        int lineNumber = 0;
        int columns = 0;
        Dictionary<string, int> lineOfId = new(StringComparer.Ordinal);
        ImmutableArray<SamplePair>.Builder pairs = ImmutableArray.CreateBuilder<SamplePair>();
        while (ReadLine(reader, fileName, lineNumber + 1) is { } line)
        {
            lineNumber++;
            if (lineNumber == 1)
            {
                line = line.TrimStart('\uFEFF');
            }

            if (line.AsSpan().Trim().IsEmpty)
            {
                continue;
            }

            if (columns == 0)
            {
                columns = ReadHeader(line, fileName, lineNumber);
                continue;
            }

            if (pairs.Count == MaxPairs)
            {
                throw new UnusableInputException($"'{fileName}' holds more than {MaxPairs} pairs. Keep fewer: a few hundred well distributed colours fit as well.");
            }

            SamplePair pair = ReadPair(line, columns, fileName, lineNumber);
            if (!lineOfId.TryAdd(pair.Id, lineNumber))
            {
                throw Fault(fileName, lineNumber, $"the id '{pair.Id}' was already used in line {lineOfId[pair.Id]}. Give each pair its own id; pairs of one object share the group.");
            }

            pairs.Add(pair);
        }

        if (columns == 0)
        {
            throw new UnusableInputException($"'{fileName}' is empty. It should begin with the line '{Header(Needed)}'.");
        }

        if (pairs.Count == 0)
        {
            throw new UnusableInputException($"'{fileName}' has a header but no pairs. Add one line for each colour seen by both cameras.");
        }

        return new SampleSet(primaryEncoding, secondaryEncoding, SamplingMethod.Given, pairs.ToImmutable());
    }

    /// <summary>
    /// Writes the table. The weight column is written only if a weight is not 1, the label column only if there is a
    /// label, the locality column only if localities are named; columns before a written one are written too. Numbers
    /// have the fewest digits that read back as the same number. Spreads and origins are not part of the table.
    /// </summary>
    public static void Write(TextWriter writer, SampleSet samples)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(samples);
        bool localities = samples.Pairs.Any(p => p.Locality.Length > 0), labels = localities || samples.Pairs.Any(p => p.Label.Length > 0);
        bool weights = labels || samples.Pairs.Any(p => p.Weight != 1);
        int columns = localities ? Needed + 3 : labels ? Needed + 2 : weights ? Needed + 1 : Needed;
        writer.Write(Header(columns) + "\n");
        StringBuilder line = new();
        foreach (SamplePair pair in samples.Pairs)
        {
            line.Clear().Append(Quoted(pair.Id)).Append(',').Append(Quoted(pair.Group));
            ReadOnlySpan<double> values =
            [
                pair.Primary.R, pair.Primary.G, pair.Primary.B, pair.Secondary.R, pair.Secondary.G, pair.Secondary.B, pair.Weight,
            ];
            foreach (double value in weights ? values : values[..^1])
            {
                line.Append(',').Append(value.ToString("R", CultureInfo.InvariantCulture));
            }

            if (labels)
            {
                line.Append(',').Append(Quoted(pair.Label));
            }

            if (localities)
            {
                line.Append(',').Append(Quoted(pair.Locality));
            }

            writer.Write(line.Append('\n'));
        }
    }

    private static string Header(int columns) => string.Join(',', s_columns.Take(columns));

    private static int ReadHeader(string line, string fileName, int lineNumber)
    {
        if (!line.Contains(',', StringComparison.Ordinal) && line.Contains(';', StringComparison.Ordinal))
        {
            throw Fault(fileName, lineNumber, "the columns are separated by semicolons. Save the table with commas between columns and points in the numbers.");
        }

        List<string> fields = Split(line, fileName, lineNumber);
        for (int i = 0; i < Math.Max(fields.Count, Needed); i++)
        {
            string found = i < fields.Count ? fields[i].Trim() : "";
            string expected = i < s_columns.Length ? s_columns[i] : "";
            if (expected.Length == 0)
            {
                throw Fault(fileName, lineNumber, $"there are {fields.Count} columns; at most {s_columns.Length} are known: '{Header(s_columns.Length)}'.");
            }

            if (!string.Equals(found, expected, StringComparison.OrdinalIgnoreCase))
            {
                string what = found.Length == 0 ? "is missing" : $"is called '{Shown(found)}'";
                throw Fault(fileName, lineNumber, $"column {i + 1} should be '{expected}' but {what}. The header is '{Header(Needed)}', then if wanted 'weight', 'label' and 'locality'.");
            }
        }

        return fields.Count;
    }

    private static SamplePair ReadPair(string line, int columns, string fileName, int lineNumber)
    {
        List<string> fields = Split(line, fileName, lineNumber);
        if (fields.Count != columns)
        {
            string hint = fields.Count >= columns + 6 ? " Decimal commas look like columns: write numbers with points."
                : fields.Count == 1 && line.Contains(';', StringComparison.Ordinal) ? " Separate the columns by commas, not semicolons."
                : "";
            throw Fault(fileName, lineNumber, $"there are {fields.Count} columns where the header has {columns}.{hint}");
        }

        string id = FromSpreadsheet(fields[0].Trim()), group = FromSpreadsheet(fields[1].Trim());
        if (id.Length == 0 || group.Length == 0)
        {
            throw Fault(fileName, lineNumber, $"the {(id.Length == 0 ? "id" : "group")} is empty. Each pair needs its own id and the name of its group (which may be the same).");
        }

        Span<double> v = stackalloc double[6];
        for (int i = 0; i < 6; i++)
        {
            v[i] = Number(fields[i + 2], s_columns[i + 2], fileName, lineNumber);
            if (v[i] is < LowestValue or > HighestValue)
            {
                string hint = v[i] is > HighestValue and <= 255 ? " Divide 8-bit values by 255."
                    : v[i] is > 255 and <= 65535 ? " Divide 10-bit values by 1023, 16-bit ones by 65535."
                    : "";
                throw Fault(fileName, lineNumber, $"{s_columns[i + 2]} is {Shown(fields[i + 2].Trim())}, but code values run from 0 (black) to 1 (white).{hint}");
            }
        }

        double weight = columns > Needed && fields[Needed].Trim().Length > 0
            ? Number(fields[Needed], "weight", fileName, lineNumber)
            : 1;
        if (weight > 0 && weight is < SmallestWeight or > LargestWeight)
        {
            throw Fault(fileName, lineNumber, $"the weight is {Shown(fields[Needed].Trim())}, but must be from 0.000000001 to 1000000000. Only the ratios of the weights matter: divide all of them by one number.");
        }

        if (!(weight > 0))
        {
            throw Fault(fileName, lineNumber, $"the weight is {Shown(fields[Needed].Trim())}, but must be above 0. Delete the line of a pair that should not count.");
        }

        return new SamplePair(id, group, new CodeRgb(v[0], v[1], v[2]), new CodeRgb(v[3], v[4], v[5]))
        {
            Weight = weight,
            Label = columns > Needed + 1 ? FromSpreadsheet(fields[Needed + 1].Trim()) : "",
            Locality = columns > Needed + 2 ? FromSpreadsheet(fields[Needed + 2].Trim()) : "",
        };
    }

    private static double Number(string field, string column, string fileName, int lineNumber)
    {
        string text = field.Trim();
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value))
        {
            return value;
        }

        string hint = text.Contains(',', StringComparison.Ordinal) ? " Write it with a decimal point."
            : text.Length == 0 ? " Fill it in, or delete the line."
            : "";
        throw Fault(fileName, lineNumber, $"{column} is '{Shown(text)}', which is not a finite number.{hint}");
    }

    // Fields as in RFC 4180, except that a field may not span lines.
    private static List<string> Split(string line, string fileName, int lineNumber)
    {
        List<string> fields = [];
        StringBuilder field = new();
        bool quoted = false, wasQuoted = false;
        for (int i = 0; i <= line.Length; i++)
        {
            char c = i < line.Length ? line[i] : '\0';
            if (quoted && i < line.Length)
            {
                if (c != '"')
                {
                    field.Append(c);
                }
                else if (i + 1 < line.Length && line[i + 1] == '"')
                {
                    field.Append('"');
                    i++;
                }
                else
                {
                    quoted = false;
                }
            }
            else if (quoted)
            {
                throw Fault(fileName, lineNumber, "a field that begins with a double quote has no closing one.");
            }
            else if (i == line.Length || c == ',')
            {
                fields.Add(field.ToString());
                field.Clear();
                wasQuoted = false;
            }
            else if (c == '"' && !wasQuoted && field.ToString().AsSpan().Trim().IsEmpty)
            {
                field.Clear();
                (quoted, wasQuoted) = (true, true);
            }
            else if (!wasQuoted || !char.IsWhiteSpace(c))
            {
                field.Append(c);
            }
        }

        return fields;
    }

    private static string Quoted(string text)
    {
        string safe = ForSpreadsheet(text);
        return safe.AsSpan().ContainsAny(",\"\r\n") || safe != safe.Trim()
            ? $"\"{safe.Replace("\"", "\"\"", StringComparison.Ordinal).Replace('\r', ' ').Replace('\n', ' ')}\""
            : safe;
    }

    // A spreadsheet evaluates a field that begins with one of these as a formula; an apostrophe in front makes it text
    // (common practice). Reading removes one apostrophe.
    private static string ForSpreadsheet(string text) => IsFormula(text) ? "'" + text : text;

    private static string FromSpreadsheet(string field) => field.StartsWith('\'') && IsFormula(field) ? field[1..] : field;

    private static bool IsFormula(string text) => text.AsSpan().TrimStart('\'') is [('=' or '+' or '-' or '@'), ..];

    // Limits the line length: a file without line ends must not fill the memory.
    private static string? ReadLine(TextReader reader, string fileName, int lineNumber)
    {
        StringBuilder line = new();
        int c = reader.Read();
        if (c < 0)
        {
            return null;
        }

        for (; c >= 0 && c != '\n'; c = reader.Read())
        {
            if (line.Length == MaxLineLength)
            {
                throw Fault(fileName, lineNumber, $"the line is longer than {MaxLineLength} characters. Is this a table of pairs?");
            }

            if (c == '\0')
            {
                throw Fault(fileName, lineNumber, "this is not text. Give a table of pairs saved as CSV (UTF-8).");
            }

            line.Append((char)c);
        }

        return line.Length > 0 && line[^1] == '\r' ? line.ToString(0, line.Length - 1) : line.ToString();
    }

    private static string Shown(string text) => text.Length <= 40 ? text : text[..40] + "...";

    private static UnusableInputException Fault(string fileName, int lineNumber, string what) =>
        new($"'{fileName}', line {lineNumber}: {what}");
}
