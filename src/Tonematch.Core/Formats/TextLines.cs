using System.Text;

namespace Tonematch.Formats;

/// <summary>
/// Lines of a text file with their numbers. The length of a line is limited, so that a file that is not text does not
/// fill the memory.
/// </summary>
internal sealed class TextLines(TextReader reader, string fileName)
{
    // A line of three numbers has about thirty characters; titles and comments may be longer.
    private const int LongestLine = 4096;

    private readonly StringBuilder _line = new();

    /// <summary>The number of the line last read, from 1.</summary>
    public int Number { get; private set; }

    /// <summary>The next line without its end (LF, CRLF or CR), null at the end of the file.</summary>
    /// <exception cref="UnusableInputException">The line is too long or holds a zero byte.</exception>
    public string? Next()
    {
        int c = reader.Read();
        if (c < 0)
        {
            return null;
        }

        Number++;
        _line.Clear();
        for (; c is >= 0 and not '\n' and not '\r'; c = reader.Read())
        {
            if (c == 0)
            {
                throw Fault("a zero byte: this is not a text file");
            }

            if (_line.Length == LongestLine)
            {
                throw Fault($"more than {LongestLine} characters: this is not a text file of the expected kind");
            }

            _line.Append((char)c);
        }

        if (c == '\r' && reader.Peek() == '\n')
        {
            reader.Read();
        }

        if (Number == 1 && _line.Length > 0 && _line[0] == '\uFEFF')
        {
            _line.Remove(0, 1);
        }

        return _line.ToString();
    }

    /// <summary>The exception for a fault in the line last read.</summary>
    public UnusableInputException Fault(string what) => Fault(Number, what);

    /// <summary>The exception for a fault in a line.</summary>
    public UnusableInputException Fault(int line, string what) =>
        new($"{fileName}, line {line}: {what}.");
}
