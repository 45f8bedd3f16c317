using System.Diagnostics;
using System.Text;
using Tonematch.Media.Processes;
using Xunit;

namespace Tonematch.Media.Tests.Processes;

public sealed class FfmpegProcessTests
{
    private const string Shell = "/bin/sh";

    [Fact]
    public async Task Read_SilentProgram_IsEndedWithASentence()
    {
        Assert.SkipUnless(File.Exists(Shell), "this system has no /bin/sh");
        await using FfmpegProcess p = FfmpegProcess.Start(
            Shell, ["-c", "sleep 60"], silenceLimit: TimeSpan.FromMilliseconds(300), cancel: TestContext.Current.CancellationToken);
        var e = await Assert.ThrowsAsync<UnusableInputException>(() => p.FillAsync(new byte[10]).AsTask());
        Assert.Contains("did not respond", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Dispose_RunningProgram_EndsItsChildrenToo()
    {
        Assert.SkipUnless(File.Exists(Shell), "this system has no /bin/sh");
        int child;
        await using (FfmpegProcess p = FfmpegProcess.Start(Shell, ["-c", "sleep 60 & echo $!; wait"], cancel: TestContext.Current.CancellationToken))
        {
            byte[] line = new byte[16];
            int n = await p.Output.ReadAsync(line, TestContext.Current.CancellationToken);
            child = int.Parse(Encoding.ASCII.GetString(line, 0, n), System.Globalization.CultureInfo.InvariantCulture);
        }

        // A zombie has left the table of running programs only when its parent collected it: its state says so.
        for (int i = 0; i < 50 && IsAlive(child); i++)
        {
            await Task.Delay(100, TestContext.Current.CancellationToken);
        }

        Assert.False(IsAlive(child));

        static bool IsAlive(int id)
        {
            try
            {
                using Process p = Process.GetProcessById(id);
                string stat = $"/proc/{id}/stat";
                return !p.HasExited && !(File.Exists(stat) && File.ReadAllText(stat).Contains(") Z", StringComparison.Ordinal));
            }
            catch (Exception e) when (e is ArgumentException or IOException or InvalidOperationException)
            {
                return false;
            }
        }
    }

    [Fact]
    public async Task Run_EndlessErrors_AreBounded()
    {
        Assert.SkipUnless(File.Exists(Shell), "this system has no /bin/sh");
        (int code, string output, string errors) = await FfmpegProcess.RunAsync(
            Shell, ["-c", "i=0; while [ $i -lt 3000 ]; do echo \"error $i\" >&2; i=$((i+1)); done; echo done; exit 3"], TestContext.Current.CancellationToken);
        Assert.Equal(3, code);
        Assert.Equal("done", output.Trim());
        Assert.InRange(errors.Length, 10, 60 * 500);
        Assert.EndsWith("error 2999", errors, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Run_OutputBeyondTheLimit_IsRefused()
    {
        Assert.SkipUnless(File.Exists(Shell), "this system has no /bin/sh");
        await Assert.ThrowsAsync<UnusableInputException>(() => FfmpegProcess.RunAsync(Shell, ["-c", "yes"], TestContext.Current.CancellationToken, maxCharacters: 100_000));
    }

    [Fact]
    public async Task Start_ArgumentsWithShellCharacters_ArriveAsTheyStand()
    {
        Assert.SkipUnless(File.Exists(Shell), "this system has no /bin/sh");
        string[] odd = ["a b", "\"q\"", "$(touch /tmp/x)", "`id`", "; rm", "*", "", "-x", "\\"];
        (_, string output, _) = await FfmpegProcess.RunAsync(
            Shell, ["-c", "for a in \"$@\"; do printf '%s\\n' \"$a\"; done", "sh", .. odd], TestContext.Current.CancellationToken);
        Assert.Equal(odd, output.TrimEnd('\n').Split('\n'));
    }

    [Fact]
    public void Start_MissingProgram_SaysWhatToInstall()
    {
        var e = Assert.Throws<UnusableInputException>(() => FfmpegProcess.Start("/no/such/program", [], cancel: TestContext.Current.CancellationToken));
        Assert.Contains("could not be started", e.Message, StringComparison.Ordinal);
    }
}
