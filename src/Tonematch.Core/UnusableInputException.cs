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
}
