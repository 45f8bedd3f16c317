using System.Diagnostics;
using Xunit;

namespace Tonematch.Workbench.Tests;

/// <summary>The command line, as built beside these tests.</summary>
internal static class CommandLine
{
    public static async Task RunAsync(params string[] arguments)
    {
        ProcessStartInfo start = new("dotnet", [Path.Combine(AppContext.BaseDirectory, "tonematch.dll"), .. arguments])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            RedirectStandardInput = true,
        };
        using Process process = Process.Start(start)!;
        process.StandardInput.Close();
        Task<string> output = process.StandardOutput.ReadToEndAsync(), error = process.StandardError.ReadToEndAsync();
        await process.WaitForExitAsync();
        Assert.True(process.ExitCode == 0, $"tonematch {string.Join(' ', arguments)} ended with {process.ExitCode}.\n{await output}\n{await error}");
    }
}
