namespace Tonematch;

/// <summary>
/// The inputs are valid but give no trustworthy result (unrelated recordings, no corresponding colours). The message
/// says why and what to film or give instead. The command line ends with exit code 4.
/// </summary>
/// <remarks>Stages return refusals as results; the pipeline turns the refusal that stops it into this exception.</remarks>
public sealed class NoTrustworthyResultException : Exception
{
    /// <summary>Makes the exception with the sentence the user reads.</summary>
    public NoTrustworthyResultException(string message)
        : base(message)
    {
    }
}
