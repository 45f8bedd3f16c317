using System.Diagnostics;
using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>Runs the published program, as a user's shell would, and gives what it said.</summary>
internal static class BuiltProgram
{
    // A run that takes longer hangs; the suite must end all the same. Far more than any run takes: on a machine with
    // fifteen times as much to do as it can, one that takes half a minute takes four.
    private static readonly TimeSpan s_hangs = TimeSpan.FromMinutes(10);

    public static string FullPath { get; } = Environment.GetEnvironmentVariable("TONEMATCH_PROGRAM") is { Length: > 0 } given
        ? given
        : RepositoryFolder.PathOf("artifacts", "tonematch", OperatingSystem.IsWindows() ? "tonematch.exe" : "tonematch");

    public static async Task<ProgramRun> RunAsync(params string[] arguments) => await RunInAsync(null, arguments);

    public static async Task<ProgramRun> RunInAsync(string? folder, params string[] arguments) => await RunProgramAsync(FullPath, [], folder, arguments);

    public static async Task<ProgramRun> RunWithAsync(Dictionary<string, string> environment, string? folder, params string[] arguments) =>
        await RunProgramAsync(FullPath, environment, folder, arguments);

    /// <summary>Runs another copy of the program.</summary>
    public static async Task<ProgramRun> RunProgramAsync(string program, string? folder, params string[] arguments) => await RunProgramAsync(program, [], folder, arguments);

    private static async Task<ProgramRun> RunProgramAsync(string program, Dictionary<string, string> environment, string? folder, string[] arguments)
    {
        Assert.True(File.Exists(program), $"{program} is not there: ./run build makes it.");
        ProcessStartInfo start = new(program, arguments)
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
            WorkingDirectory = folder ?? Path.GetTempPath(),
        };
        foreach ((string name, string value) in environment)
        {
            start.Environment[name] = value;
        }

        using Process process = Process.Start(start)!;
        process.StandardInput.Close();
        Task<string> output = process.StandardOutput.ReadToEndAsync();
        Task<string> error = process.StandardError.ReadToEndAsync();
        using CancellationTokenSource limit = new(s_hangs);
        try
        {
            await process.WaitForExitAsync(limit.Token);
        }
        catch (OperationCanceledException)
        {
            process.Kill(entireProcessTree: true);
            Assert.Fail($"tonematch {string.Join(' ', arguments)} did not end. It said: {await error}");
        }

        return new ProgramRun(process.ExitCode, await output, await error);
    }
}

/// <summary>What one run of the program gave.</summary>
internal sealed record ProgramRun(int ExitCode, string Output, string Error)
{
    public JsonElement Json => JsonDocument.Parse(Output).RootElement;

    /// <summary>The run ended as it should; else everything it said is in the failure's message.</summary>
    public ProgramRun Ended(int exitCode)
    {
        Assert.True(ExitCode == exitCode, $"Exit code {ExitCode} in place of {exitCode}.\n{Output}\n{Error}");
        return this;
    }

    /// <summary>The error is a sentence or two that holds these words, and never a stack trace.</summary>
    public ProgramRun Says(params string[] words)
    {
        Assert.DoesNotContain("   at ", Error, StringComparison.Ordinal);
        Assert.All(words, w => Assert.Contains(w, Error, StringComparison.OrdinalIgnoreCase));
        return this;
    }

    /// <summary>The result's text holds these words.</summary>
    public ProgramRun Prints(params string[] words)
    {
        Assert.All(words, w => Assert.Contains(w, Output, StringComparison.Ordinal));
        return this;
    }
}
