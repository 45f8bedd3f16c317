using System.Text;

namespace Tonematch.Media.Files;

/// <summary>Reads text files that users give, with a sentence for everything that can be wrong with them.</summary>
public static class TextInput
{
    /// <summary>The whole text of a file, read as UTF-8 (with or without a byte order mark).</summary>
    /// <param name="path">The file.</param>
    /// <param name="what">What it is to be, for the sentence: 'pairs', 'LUT'.</param>
    /// <param name="largestBytes">Files above this many bytes are refused before they are read.</param>
    /// <exception cref="UnusableInputException">Missing, a folder, empty, too large, not readable, or not text.</exception>
    public static string Read(string path, string what, long largestBytes)
    {
        ArgumentNullException.ThrowIfNull(path);
        if (Directory.Exists(path))
        {
            throw new UnusableInputException($"{path} is a folder; a file of {what} is needed.");
        }

        try
        {
            FileInfo file = new(path);
            if (!file.Exists)
            {
                throw new UnusableInputException(path.Contains('\uFFFD', StringComparison.Ordinal)
                    ? $"The name {path} holds bytes that are no UTF-8 text, so the file cannot be opened by it. Rename the file, or its folder, and try again."
                    : $"{path} is not there.");
            }

            if (file.Length == 0)
            {
                throw new UnusableInputException($"{path} is empty; a file of {what} is needed.");
            }

            if (file.Length > largestBytes)
            {
                throw new UnusableInputException($"{path} holds {file.Length} bytes, more than a file of {what} may have ({largestBytes}).");
            }

            return File.ReadAllText(path, new UTF8Encoding(encoderShouldEmitUTF8Identifier: false, throwOnInvalidBytes: true));
        }
        catch (DecoderFallbackException e)
        {
            throw new UnusableInputException($"{path} is not a text file, so it is no file of {what}.", e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UnusableInputException($"{path} cannot be read: {e.Message}", e);
        }
    }
}
