using System.Globalization;
using System.Xml;
using System.Xml.Linq;

namespace Tonematch.Formats;

/// <summary>
/// An XML file read safely: no document type, no external entities, limited length; and error messages with file and
/// line.
/// </summary>
internal sealed class XmlInput
{
    // The formats nest five deep. The tree builder walks up to the root for every element it adds: a file nested a
    // million deep kept it busy for minutes without finishing.
    private const int DeepestNesting = 32;

    // The formats have ten at most. The tree builder searches all of an element's attributes for each one it adds: an
    // element with 200,000 kept it busy for half a minute.
    private const int MostAttributes = 1000;

    private readonly string _fileName;

    /// <summary>Reads the whole document.</summary>
    /// <exception cref="UnusableInputException">The text is not well-formed XML, has a document type or is too long.</exception>
    public XmlInput(TextReader reader, string fileName)
    {
        ArgumentNullException.ThrowIfNull(reader);
        ArgumentNullException.ThrowIfNull(fileName);
        _fileName = fileName;
        if (reader.Peek() == '\uFEFF')
        {
            reader.Read();
        }

        XmlReaderSettings settings = new()
        {
            DtdProcessing = DtdProcessing.Prohibit,
            XmlResolver = null,
            IgnoreProcessingInstructions = true,
        };
        try
        {
            using MarkupLimit limited = new(reader, fileName);
            string text = limited.ReadToEnd();
            using (XmlReader shape = XmlReader.Create(new StringReader(text), settings))
            {
                while (shape.Read())
                {
                    if (shape.Depth > DeepestNesting)
                    {
                        throw Fault(((IXmlLineInfo)shape).LineNumber, $"elements are nested more than {DeepestNesting} deep");
                    }

                    if (shape.AttributeCount > MostAttributes)
                    {
                        throw Fault(((IXmlLineInfo)shape).LineNumber, $"an element has more than {MostAttributes} attributes");
                    }
                }
            }

            using XmlReader xml = XmlReader.Create(new StringReader(text), settings);
            Root = XDocument.Load(xml, LoadOptions.SetLineInfo).Root!;
        }
        catch (XmlException e)
        {
            // The parser's own message quotes the file at length; only the line number helps.
            bool documentType = e.Message.Contains("DTD", StringComparison.Ordinal);
            throw Fault(e.LineNumber, documentType
                ? "a document type (DOCTYPE) is not allowed in this format"
                : "this is not well-formed XML here (a tag not closed, misspelt or cut off, or not XML at all)");
        }
    }

    /// <summary>The outermost element.</summary>
    public XElement Root { get; }

    /// <summary>The exception for a fault at a place in the document.</summary>
    public UnusableInputException Fault(XObject place, string what) => Fault(((IXmlLineInfo)place).LineNumber, what);

    /// <summary>An attribute's text, or null.</summary>
    public static string? Attribute(XElement element, string name) => element.Attribute(name)?.Value;

    /// <summary>An attribute as a finite number, or null.</summary>
    public double? Number(XElement element, string name)
    {
        XAttribute? attribute = element.Attribute(name);
        return attribute is null ? null : ParseNumber(attribute.Value.AsSpan().Trim(), ((IXmlLineInfo)attribute).LineNumber, name);
    }

    /// <summary>An element's text as exactly this many finite numbers, separated by white space.</summary>
    public double[] Numbers(XElement element, int count)
    {
        double[] numbers = new double[Math.Min(count, 16)];
        int found = 0;
        string name = element.Name.LocalName;
        foreach (XNode node in element.Nodes())
        {
            if (node is XComment)
            {
                continue;
            }

            if (node is not XText text)
            {
                throw Fault(node, $"an element inside {name}, which holds numbers only");
            }

            int line = ((IXmlLineInfo)node).LineNumber;
            ReadOnlySpan<char> rest = text.Value;
            while (true)
            {
                int start = rest.IndexOfAnyExcept(" \t\r\n");
                line += rest[..(start < 0 ? rest.Length : start)].Count('\n');
                if (start < 0)
                {
                    break;
                }

                rest = rest[start..];
                int end = rest.IndexOfAny(" \t\r\n");
                ReadOnlySpan<char> word = end < 0 ? rest : rest[..end];
                if (found == count)
                {
                    throw Fault(line, $"{name} has more than {count} numbers");
                }

                if (found == numbers.Length)
                {
                    Array.Resize(ref numbers, (int)Math.Min(count, 2L * numbers.Length));
                }

                numbers[found++] = ParseNumber(word, line, name);
                rest = rest[word.Length..];
            }
        }

        return found == count ? numbers : throw Fault(element, $"{name} has {found} of {count} numbers");
    }

    /// <summary>A short piece of the file for a message, without characters that disturb a terminal.</summary>
    public static string Shown(ReadOnlySpan<char> text)
    {
        const int longest = 40;
        string shown = string.Concat(text[..Math.Min(text.Length, longest)].ToString().Select(c => char.IsControl(c) ? '?' : c));
        return text.Length > longest ? shown + "..." : shown;
    }

    private double ParseNumber(ReadOnlySpan<char> text, int line, string name) =>
        !double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value)
            ? throw Fault(line, $"'{Shown(text)}' in {name} is not a number")
            : double.IsFinite(value) && Math.Abs(value) <= float.MaxValue ? value
            : throw Fault(line, $"'{Shown(text)}' in {name} is not a finite number");

    private UnusableInputException Fault(int line, string what) => new($"{_fileName}, line {Math.Max(1, line)}: {what}.");
}
