using System.Collections.Concurrent;
using System.Diagnostics;
using Xunit;

namespace Tonematch.Testing;

/// <summary>
/// An independent program from the system (FFmpeg, a Python library) that tests compare with. A test that needs it is
/// skipped, visibly, where it is not there.
/// </summary>
public sealed class ExternalTool
{
    private static readonly TimeSpan s_limit = TimeSpan.FromSeconds(120);

    // A module is looked for once: importing some of them takes half a second.
    private static readonly ConcurrentDictionary<string, bool> s_modules = new();

    private readonly string _program;

    private ExternalTool(string program) => _program = program;

    /// <summary>FFmpeg; skips the running test when it is missing.</summary>
    public static ExternalTool Ffmpeg() => RequireProgram("ffmpeg");

    /// <summary>
    /// Debian's Python with the given modules ('PyOpenColorIO', 'skimage', 'cv2'); skips the running test when the
    /// interpreter or a module is missing.
    /// </summary>
    public static ExternalTool Python(params string[] modules)
    {
        const string python = "/usr/bin/python3";
        Assert.SkipUnless(File.Exists(python), $"{python} is not there");
        ExternalTool tool = new(python);
        foreach (string module in modules)
        {
            bool isThere = s_modules.GetOrAdd(module, m => tool.TryRun(["-c", $"import {m}"], [], null).ExitCode == 0);
            Assert.SkipUnless(isThere, $"{python} has no module {module}");
        }

        return tool;
    }

    /// <summary>A program on the PATH; skips the running test when it is missing.</summary>
    public static ExternalTool RequireProgram(string name)
    {
        string? found = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator)
            .Select(folder => Path.Combine(folder, name))
            .FirstOrDefault(File.Exists);
        Assert.SkipUnless(found is not null, $"the program '{name}' is not on the PATH");
        return new ExternalTool(found!);
    }

    /// <summary>Runs the program and gives its standard output; the test fails with the program's own words if it fails.</summary>
    public byte[] Run(IReadOnlyList<string> arguments, byte[]? standardInput = null, string? workingFolder = null)
    {
        (int exitCode, byte[] output, string errors) = TryRun(arguments, standardInput ?? [], workingFolder);
        Assert.True(exitCode == 0, $"{_program} {string.Join(' ', arguments)}\nended with {exitCode}: {errors}");
        return output;
    }

    /// <summary>Runs the program and gives exit code, standard output and standard error.</summary>
    public (int ExitCode, byte[] Output, string Errors) TryRun(
        IReadOnlyList<string> arguments, byte[] standardInput, string? workingFolder)
    {
        ProcessStartInfo start = new(_program, arguments)
        {
            RedirectStandardInput = true,
            RedirectStandardOutput = true,
            RedirectStandardError = true,
            WorkingDirectory = workingFolder ?? Path.GetTempPath(),
        };
        using Process process = Process.Start(start)!;
        Task<byte[]> output = Task.Run(() =>
        {
            using MemoryStream all = new();
            process.StandardOutput.BaseStream.CopyTo(all);
            return all.ToArray();
        });
        Task<string> errors = process.StandardError.ReadToEndAsync();
        try
        {
            process.StandardInput.BaseStream.Write(standardInput);
            process.StandardInput.Close();
        }
        catch (IOException)
        {
            // The program ended before it had read everything; its exit code and words say why.
        }

        if (!process.WaitForExit(s_limit))
        {
            process.Kill(entireProcessTree: true);
            throw new TimeoutException($"{_program} did not end within {s_limit.TotalSeconds} s.");
        }

        return (process.ExitCode, output.GetAwaiter().GetResult(), errors.GetAwaiter().GetResult());
    }
}
