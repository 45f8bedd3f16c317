namespace Tonematch.Formats;

/// <summary>
/// Passes text through and stops at too many tags and quoted values. Each becomes an object of about a hundred bytes,
/// so a file full of tags would take far more memory than its length; tables are plain numbers.
/// </summary>
internal sealed class MarkupLimit(TextReader inner, string fileName) : TextReader
{
    /// <summary>Largest number of characters that open a tag or enclose a value.</summary>
    public const int Most = 1_000_000;

    /// <summary>
    /// Largest number of characters: a table of 129 nodes per side has 6.4 million numbers of about ten characters.
    /// </summary>
    public const int LongestFile = 80_000_000;

    private int _count;
    private int _length;

    /// <inheritdoc/>
    public override int Peek() => inner.Peek();

    /// <inheritdoc/>
    public override int Read()
    {
        int c = inner.Read();
        if (c >= 0)
        {
            Count([(char)c]);
        }

        return c;
    }

    /// <inheritdoc/>
    public override int Read(char[] buffer, int index, int count)
    {
        int read = inner.Read(buffer, index, count);
        Count(buffer.AsSpan(index, read));
        return read;
    }

    private void Count(ReadOnlySpan<char> text)
    {
        _count += text.Count('<') + text.Count('"') + text.Count('\'');
        if (_count > Most)
        {
            throw new UnusableInputException(
                $"{fileName}: more than a million tags and quoted values: this is not a colour correction.");
        }

        _length += text.Length;
        if (_length > LongestFile)
        {
            throw new UnusableInputException($"{fileName}: more than {LongestFile / 1_000_000} million characters: this is not a colour correction.");
        }
    }
}
