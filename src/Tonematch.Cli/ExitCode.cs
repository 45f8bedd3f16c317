namespace Tonematch.Cli;

/// <summary>The program's exit codes: part of the contract with scripts.</summary>
internal static class ExitCode
{
    public const int Done = 0;
    public const int FaultInTheProgram = 1;
    public const int WrongUse = 2;
    public const int UnusableInput = 3;
    public const int NoTrustworthyResult = 4;
    public const int ToleranceMissed = 5;

    /// <summary>Stopped by Ctrl-C: 128 + SIGINT, as in shells.</summary>
    public const int Stopped = 130;
}
