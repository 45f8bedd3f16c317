using System.Text;

namespace Tonematch.Media.Files;

/// <summary>Reads text files given by users, with a clear message for every fault.</summary>
public static class TextInput
{
    /// <summary>The whole text of a file, read as UTF-8 (with or without a byte order mark).</summary>
    /// <param name="path">The file.</param>
    /// <param name="what">The expected content, for the message: 'pairs', 'LUT'.</param>
    /// <param name="largestBytes">Files above this many bytes are refused before they are read.</param>
    /// <exception cref="UnusableInputException">It is missing, a folder, empty, too large, unreadable, or not text.</exception>
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
                    ? $"The name {path} contains bytes that are not UTF-8 text, so the file cannot be opened by this name. Rename the file, or its folder, and try again."
                    : $"{path} does not exist.");
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
            throw new UnusableInputException($"{path} is not a text file, so it cannot be a file of {what}.", e);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or ArgumentException or NotSupportedException)
        {
            throw new UnusableInputException($"{path} cannot be read: {e.Message}", e);
        }
    }
}
