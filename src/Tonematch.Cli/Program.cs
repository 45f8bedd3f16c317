using System.CommandLine;
using Tonematch.Cli.Commands;
using Tonematch.Media.Files;

namespace Tonematch.Cli;

/// <summary>Parses the command line, runs one command and turns every outcome into its exit code.</summary>
internal static class Program
{
    private static async Task<int> Main(string[] args)
    {
        using StopSignals stop = StopSignals.Listen();
        using Terminal terminal = Terminal.OfThisProcess();
        return await RunAsync(args, terminal, stop);
    }

    /// <summary>Reads the command line; runs nothing.</summary>
    internal static ParseResult Parse(string[] args, Terminal terminal)
    {
        RootCommand root = new("Makes the colours of a second camera match the first: aligns two recordings of one event by their sound, "
            + "finds the same things in both, and computes the correction.")
        {
            WorkbenchCommand.Create(terminal),
            MatchCommand.Create(terminal),
            SyncCommand.Create(terminal),
            SampleCommand.Create(terminal),
            FitCommand.Create(terminal),
            CheckCommand.Create(terminal),
            RenderCommand.Create(terminal),
            LutCommand.Create(terminal),
            ChartCommand.Create(terminal),
            ProbeCommand.Create(terminal),
            DemoCommand.Create(terminal),
            SelfcheckCommand.Create(terminal),
        };

        // A file may be called '@clip.mp4'; nothing on the command line is read as a file of arguments.
        return root.Parse(args, new ParserConfiguration { ResponseFileTokenReplacer = null, EnablePosixBundling = false });
    }

    private static async Task<int> RunAsync(string[] args, Terminal terminal, StopSignals stop)
    {
        ParseResult parsed = Parse(args, terminal);
        if (UnknownOptions.Refusal(parsed) is { } refusal)
        {
            terminal.Error(refusal);
            terminal.Note($"See: tonematch {CommandPath(parsed)}--help");
            return ExitCode.WrongUse;
        }

        if (parsed.Errors.Count > 0)
        {
            terminal.Error(parsed.CommandResult.Command is RootCommand && parsed.UnmatchedTokens.Count > 0
                ? $"There is no command '{parsed.UnmatchedTokens[0]}'."
                : parsed.Errors[0].Message);
            terminal.Note($"See: tonematch {CommandPath(parsed)}--help");
            return ExitCode.WrongUse;
        }

        try
        {
            // The library's own signal handling would end the program after two seconds, whether it has cleaned up or
            // not.
            return await parsed.InvokeAsync(new InvocationConfiguration { EnableDefaultExceptionHandler = false, ProcessTerminationTimeout = null }, stop.Token);
        }
        catch (WrongUseException e)
        {
            terminal.Error(e.Message);
            return ExitCode.WrongUse;
        }
        catch (UnusableInputException e)
        {
            terminal.Error(e.Message);
            return ExitCode.UnusableInput;
        }
        catch (NoTrustworthyResultException e)
        {
            terminal.Error(e.Message);
            return ExitCode.NoTrustworthyResult;
        }
        catch (OperationCanceledException)
        {
            terminal.Error("Stopped. Nothing half-finished was left behind.");
            return stop.ExitCode;
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            // A full or missing disk or folder is a fault of the machine, wherever it was noticed.
            terminal.Error(FileFault.IsDiskFull(e) ? "The disk is full. Free some space and try again." : $"A file or folder could not be used: {e.Message}");
            return ExitCode.UnusableInput;
        }
#pragma warning disable CA1031 // The last safety net: a bug must end in a sentence and exit code 1, never in a stack trace.
        catch (Exception e)
#pragma warning restore CA1031
        {
            terminal.Error($"Tonematch stopped because of an internal error ({e.GetType().Name}: {e.Message}). Please report it with the command you ran.");
            if (Environment.GetEnvironmentVariable("TONEMATCH_TRACE") == "1")
            {
                terminal.Note(e.ToString());
            }

            return ExitCode.FaultInTheProgram;
        }
    }

    private static string CommandPath(ParseResult parsed)
    {
        string path = "";
        for (System.CommandLine.Parsing.SymbolResult? r = parsed.CommandResult; r is System.CommandLine.Parsing.CommandResult c; r = r.Parent)
        {
            path = c.Command is RootCommand ? path : c.Command.Name + " " + path;
        }

        return path;
    }
}
