namespace Tonematch.Formats.Clf;

/// <summary>
/// The Common LUT Format: Academy/ASC S-2014-006 version 3, SMPTE ST 2136-1:2024; files of versions 1 and 2 that use
/// only features kept in version 3 are read too.
/// </summary>
/// <remarks>
/// Strict: an unknown element outside Info, a bit depth that does not match the previous step, or a wrong count is
/// refused, because guessing would change colours. The id is not required, since it does not affect colours. Unknown
/// attributes are ignored, as the format requires.
/// </remarks>
public static class ClfFormat
{
    /// <summary>Reads a file.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The file is malformed; the message has its name and the line.</exception>
    public static ClfFile Read(TextReader reader, string fileName) => new ClfReader(new XmlInput(reader, fileName)).ReadFile();

    /// <summary>
    /// Writes a file as SMPTE ST 2136-1 with compCLFversion 3.0, which readers of CLF version 3 accept: bit depth 32f
    /// throughout, LF line ends, numbers with all their digits.
    /// </summary>
    public static void Write(TextWriter writer, ClfFile file)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(file);
        XmlOutput.Write(writer, ClfElements.Of(file));
    }
}
