using System.Text.Json;

namespace Tonematch;

/// <summary>
/// An input that cannot be read or used. The message is one or two sentences for the user: what is wrong, with which
/// file (and line or time), and what to do. The command line ends with exit code 3.
/// </summary>
public sealed class UnusableInputException : Exception
{
    /// <summary>Makes the exception with the sentence the user reads.</summary>
    public UnusableInputException(string message)
        : base(message)
    {
    }

    /// <summary>Makes the exception with the sentence the user reads and the underlying fault.</summary>
    public UnusableInputException(string message, Exception inner)
        : base(message, inner)
    {
    }

    /// <summary>
    /// A text that is not JSON from some line on. The library's own message is left out: it may quote the rest of the
    /// file.
    /// </summary>
    /// <param name="file">How the file is named in the sentence.</param>
    /// <param name="fault">What the parser threw.</param>
    public static UnusableInputException NotJson(string file, JsonException fault)
    {
        ArgumentNullException.ThrowIfNull(fault);
        return new($"{file}, line {(fault.LineNumber ?? 0) + 1}: this is not well-formed JSON here.", fault);
    }
}
