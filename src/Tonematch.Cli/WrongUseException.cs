namespace Tonematch.Cli;

/// <summary>The command line is invalid; the message says what to write instead.</summary>
internal sealed class WrongUseException(string message) : Exception(message);
