namespace Tonematch.Formats.Clf;

/// <summary>
/// The Common LUT Format: Academy/ASC S-2014-006 version 3, SMPTE ST 2136-1:2024; files of versions 1 and 2 that use
/// only what version 3 kept are read too.
/// </summary>
/// <remarks>
/// Strict: an element outside Info that is not known, a bit depth that does not follow from the step before, a count
/// that is not met are refused, because guessing would give other colours. The id is not required: it has no
/// influence on colours. Unknown attributes are passed over, as the format asks.
/// </remarks>
public static class ClfFormat
{
    /// <summary>Reads a file.</summary>
    /// <param name="reader">The text.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The file is malformed; the message has its name and the line.</exception>
    public static ClfFile Read(TextReader reader, string fileName) => new ClfReader(new XmlInput(reader, fileName)).ReadFile();

    /// <summary>
    /// Writes a file as SMPTE ST 2136-1 with compCLFversion 3.0, which readers of CLF version 3 understand: bit depth
    /// 32f throughout, LF line ends, numbers with all their digits.
    /// </summary>
    public static void Write(TextWriter writer, ClfFile file)
    {
        ArgumentNullException.ThrowIfNull(writer);
        ArgumentNullException.ThrowIfNull(file);
        XmlOutput.Write(writer, ClfElements.Of(file));
    }
}
