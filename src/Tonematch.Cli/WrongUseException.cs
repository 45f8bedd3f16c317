namespace Tonematch.Cli;

/// <summary>The command line asks for something that cannot be meant; the message says what to write instead.</summary>
internal sealed class WrongUseException(string message) : Exception(message);
