using System.CommandLine;
using System.Text.RegularExpressions;
using Tonematch.Cli.Commands;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>What stands on a screen, in this process: nothing is run but what takes no time.</summary>
public sealed partial class CommandWordsTests
{
    // 'Primary' and 'secondary' mean other things to people who grade pictures; they are left in names that scripts use.
    [Fact]
    public void Help_OfEveryCommand_SpeaksOfCamerasAAndB()
    {
        using Terminal terminal = new(TextWriter.Null, TextWriter.Null, outputIsTerminal: false, errorIsTerminal: false);
        List<string> said = [];
        Gather(Program.Parse([], terminal).RootCommandResult.Command, said);
        Assert.True(said.Count > 80, $"{said.Count} texts");
        Assert.All(said, text => Assert.DoesNotMatch(OldNames(), text));
    }

    [Theory]
    [InlineData(@"a\b.mp4", @"'a\b.mp4'")]
    [InlineData("two words.mp4", "'two words.mp4'")]
    [InlineData("it's.mp4", @"'it'\''s.mp4'")]
    [InlineData("$(id).mp4", "'$(id).mp4'")]
    [InlineData("plain-1.mp4", "plain-1.mp4")]
    public void CommandText_WordsThatAShellWouldChange_AreQuoted(string file, string written)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows() && file.Contains('\\', StringComparison.Ordinal), "a backslash parts folders there");
        using Terminal terminal = new(TextWriter.Null, TextWriter.Null, outputIsTerminal: false, errorIsTerminal: false);
        Assert.Equal($"tonematch probe {written}", CommandText.Of(Program.Parse(["probe", file], terminal)));
    }

    // Without a screen it is laid out for 80 columns; where tests are run on one, for that.
    [Fact]
    public async Task Summary_OnAScreen_FitsItAndBreaksBetweenWordsOnly()
    {
        using Testing.TempFolder folder = new();
        File.WriteAllText(folder.PathOf("pairs.csv"), "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b\n"
            + string.Concat(Enumerable.Range(0, 30).Select(i => FormattableString.Invariant($"p{i},g{i},{0.1 + (0.025 * i):0.###},{0.2 + (0.02 * (i % 7)):0.###},{0.15 + (0.1 * (i % 5)):0.###},{0.08 + (0.024 * i):0.###},{0.2 + (0.018 * (i % 7)):0.###},{0.13 + (0.08 * (i % 5)):0.###}\n"))));
        using StringWriter screen = new();
        int width = new ScreenOutput(screen, isTerminal: true).Width;
        using (Terminal terminal = new(screen, screen, outputIsTerminal: true, errorIsTerminal: false))
        {
            Assert.Equal(0, await Program.Parse(["fit", folder.PathOf("pairs.csv"), "--out", folder.PathOf("out"), "--encoding", "bt709", "--lut-size", "17"], terminal)
                .InvokeAsync(new InvocationConfiguration { EnableDefaultExceptionHandler = false }, TestContext.Current.CancellationToken));
        }

        string[] lines = Escapes().Replace(screen.ToString(), "").Split('\n');
        string[] table = [.. lines.SkipWhile(l => !l.Contains("largest", StringComparison.Ordinal)).TakeWhile(l => l.Trim().Length > 0)];
        Assert.All(table, l => Assert.InRange(l.Length, 0, width));
        Assert.Contains(table, l => l.Contains("root-polynomial", StringComparison.Ordinal));
        Assert.Contains(table, l => l.Contains("handed over", StringComparison.Ordinal));
        Assert.All(lines.Where(l => !l.Contains(folder.FullPath, StringComparison.Ordinal)), l => Assert.InRange(l.Length, 0, width));
    }

    private static void Gather(Command command, List<string> said)
    {
        said.Add(command.Description ?? "");
        said.AddRange(command.Arguments.Select(a => a.Description ?? ""));
        said.AddRange(command.Options.Select(o => o.Description ?? ""));
        foreach (Command below in command.Subcommands)
        {
            Gather(below, said);
        }
    }

    [GeneratedRegex(@"(?<![-\w])(primary|secondary|secondaries)\b", RegexOptions.IgnoreCase)]
    private static partial Regex OldNames();

    [GeneratedRegex(@"\x1b\[[0-9;?]*[a-zA-Z]")]
    private static partial Regex Escapes();
}
