using System.Diagnostics;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>However the program is stopped, it takes its encoders and its half files with it.</summary>
public sealed class StopTests(StopTests.LongClip clip) : IClassFixture<StopTests.LongClip>, IDisposable
{
    /// <summary>A clip whose rendering takes longer than the tests watch it.</summary>
    public sealed class LongClip : IDisposable
    {
        private readonly TempFolder _folder = new();
        private readonly Lazy<string> _path;

        public LongClip() => _path = new(() =>
        {
            ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=size=1280x720:rate=25:duration=40", "-c:v", "libx264", "-preset", "ultrafast", "file:" + _folder.PathOf("clip.mp4")]);
            return _folder.PathOf("clip.mp4");
        });

        public string FullPath => _path.Value;

        public void Dispose() => _folder.Dispose();
    }

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // Numbers of signals: POSIX.1-2017, signal.h; shells add 128 to them.
    [Theory]
    [InlineData("HUP", 129, 0)]
    [InlineData("TERM", 143, 0)]
    [InlineData("TERM", 143, 4)] // As on a machine with far too much to do: nothing gets done for longer than any time limit.
    public async Task Render_StoppedInTheMiddle_LeavesNoFileAndNoEncoder(string signal, int exitCode, int heldUpSeconds)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no such signals");
        File.Copy(clip.FullPath, _folder.PathOf("clip.mp4"));
        File.WriteAllText(_folder.PathOf("a.cube"), "LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        using Process program = Process.Start(Started(["render", "clip.mp4", "--correction", "a.cube", "--out", "out.mp4"]))!;
        Task<string> said = program.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        while (Directory.GetFiles(_folder.FullPath, ".*.part").Length == 0)
        {
            Assert.False(program.HasExited, "it ended before it was stopped");
            await Task.Delay(20, TestContext.Current.CancellationToken);
        }

        await Task.Delay(500, TestContext.Current.CancellationToken);
        if (heldUpSeconds > 0)
        {
            // A signal waits while the program is held; its time limits run on.
            Send("STOP", program.Id);
            Send(signal, program.Id);
            await Task.Delay(TimeSpan.FromSeconds(heldUpSeconds), TestContext.Current.CancellationToken);
            Send("CONT", program.Id);
        }
        else
        {
            Send(signal, program.Id);
        }

        await program.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(exitCode == program.ExitCode, $"{program.ExitCode}: {await said}");
        Assert.Equal(["a.cube", "clip.mp4"], Directory.GetFileSystemEntries(_folder.FullPath).Select(p => Path.GetFileName(p)!).Order(StringComparer.Ordinal));
        Assert.Empty(Encoders());
    }

    [Fact]
    public async Task Match_StoppedAtAnyStage_LeavesNoFolderAndNoDecoder()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows has no such signals");
        foreach ((string name, string look) in new[] { ("a.mp4", "null"), ("b.mp4", "eq=gamma=0.8:saturation=0.8") })
        {
            ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=size=320x180:rate=25:duration=11", "-f", "lavfi", "-i", "anoisesrc=r=48000:seed=4:a=0.3:d=11",
                "-vf", look, "-pix_fmt", "yuv420p", "-c:v", "libx264", "-preset", "ultrafast", "-c:a", "aac", "file:" + _folder.PathOf(name)]);
        }

        await StoppedAsync("HUP", 129, "Listening to both recordings");
        await StoppedAsync("INT", 130, "Taking frames of the same instants");
        await StoppedAsync("TERM", 143, "Fitting the corrections");
    }

    private async Task StoppedAsync(string signal, int exitCode, string stage)
    {
        using Process program = Process.Start(Started(["match", "a.mp4", "b.mp4", "--out", "out"]))!;
        Task<string> summary = program.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        List<string> said = [];
        while (await program.StandardError.ReadLineAsync(TestContext.Current.CancellationToken) is { } line)
        {
            said.Add(line);
            if (line.StartsWith(stage, StringComparison.Ordinal))
            {
                Send(signal, program.Id);
            }
        }

        await program.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(exitCode == program.ExitCode, $"{program.ExitCode}: {string.Join('\n', said)}\n{await summary}");
        Assert.Contains("Stopped. Nothing half-finished was left behind.", said);
        Assert.Equal(["a.mp4", "b.mp4"], Directory.GetFileSystemEntries(_folder.FullPath).Select(p => Path.GetFileName(p)!).Order(StringComparer.Ordinal));
        Assert.Empty(Encoders());
    }

    // Under nohup, or in the background of a shell, a program is born deaf to some signals, which is right; here it must
    // hear them.
    private ProcessStartInfo Started(string[] arguments) =>
        new(OperatingSystem.IsLinux() ? "env" : BuiltProgram.FullPath, OperatingSystem.IsLinux() ? ["--default-signal=HUP,INT,TERM", BuiltProgram.FullPath, .. arguments] : arguments)
        {
            WorkingDirectory = _folder.FullPath,
            RedirectStandardError = true,
            RedirectStandardOutput = true,
        };

    private static void Send(string signal, int process)
    {
        using Process kill = Process.Start("kill", [$"-{signal}", process.ToString(System.Globalization.CultureInfo.InvariantCulture)]);
        kill.WaitForExit();
    }

    // Running programs that name this test's folder.
    private IEnumerable<string> Encoders() => Directory.GetDirectories("/proc").Select(p => Path.Combine(p, "cmdline")).Select(Text).Where(c => c.Contains("ffmpeg", StringComparison.Ordinal) && c.Contains(_folder.FullPath, StringComparison.Ordinal));

    private static string Text(string file)
    {
        try
        {
            return File.ReadAllText(file);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException)
        {
            return "";
        }
    }
}
