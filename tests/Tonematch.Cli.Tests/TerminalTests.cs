using Spectre.Console;
using Spectre.Console.Rendering;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>What reaches a screen.</summary>
public sealed class TerminalTests
{
    [Theory]
    [InlineData("a\u001b[2Jb", "a?[2Jb")]
    [InlineData("a\u009b31mb", "a?31mb")]
    [InlineData("gpj.\u202Etxe", "gpj.?txe")]
    [InlineData("é – 日本, tab\tand\nline", "é – 日本, tab\tand\nline")]
    public void Shown_CharactersThatActOnAScreen_BecomeQuestionMarks(string text, string shown) => Assert.Equal(shown, PlainText.Shown(text));

    [Theory]
    [InlineData("  report.html      the evidence, one page: open it first and look", 40)]
    [InlineData("a plain sentence that is a good deal longer than a screen of forty columns can show in one line", 40)]
    public void Wrapped_AnyLine_IsBrokenBetweenWordsOnly(string text, int width)
    {
        string[] lines = PlainText.Wrapped(text, width).Split('\n');
        Assert.True(lines.Length > 1);
        Assert.All(lines, l => Assert.InRange(l.Length, 1, width));
        Assert.Equal(Words(text), Words(string.Join(' ', lines)));

        static string[] Words(string s) => s.Split(' ', StringSplitOptions.RemoveEmptyEntries);
    }

    [Fact]
    public void Progress_OfWorkThatIsDone_ShowsNoTimeLeft()
    {
        ProgressTask done = new(1, "Listening", maxValue: 1) { Value = 1 };
        Assert.Equal("", Shown(new TimeLeftColumn(), done));
        Assert.Equal("100 %", Shown(new ShareColumn(), done));
    }

    [Fact]
    public void Progress_OfWorkWhoseLengthIsNotKnown_ShowsNoShare()
    {
        ProgressTask unknown = new(1, "Listening", maxValue: 1) { IsIndeterminate = true };
        Assert.Equal("", Shown(new TimeLeftColumn(), unknown));
        Assert.Equal("", Shown(new ShareColumn(), unknown));
    }

    private static string Shown(ProgressColumn column, ProgressTask task)
    {
        using StringWriter text = new();
        IAnsiConsole console = AnsiConsole.Create(new AnsiConsoleSettings { Out = new ScreenOutput(text, isTerminal: false), Ansi = AnsiSupport.No });
        console.Write(column.Render(RenderOptions.Create(console, console.Profile.Capabilities), task, TimeSpan.Zero));
        return text.ToString().Trim();
    }

    [Fact]
    public void Line_OnAScreenThatIsGone_GoesNowhere()
    {
        using Terminal terminal = new(new GoneWriter(), new GoneWriter(), outputIsTerminal: true, errorIsTerminal: true);
        terminal.Line("result");
        terminal.Error("stopped");
    }

    [Theory]
    [InlineData("--encoding", "--primary-encoding or --secondary-encoding")]
    [InlineData("--ofset", "--offset")]
    [InlineData("--tolerence=3", "--tolerance")]
    public void UnknownOption_NamesTheNearest(string written, string near) => Assert.Contains(
        $"Did you mean {near}?",
        UnknownOptions.Sentence(written, ["--out", "--model", "--offset", "--tolerance", "--primary-encoding", "--secondary-encoding", "--json"]),
        StringComparison.Ordinal);

    private sealed class GoneWriter : StringWriter
    {
        public override void Write(char value) => throw new IOException("Input/output error");

        public override void Write(string? value) => throw new IOException("Input/output error");

        public override void Write(char[] buffer, int index, int count) => throw new IOException("Input/output error");

        public override void WriteLine(string? value) => throw new IOException("Input/output error");

        public override void Flush() => throw new IOException("Input/output error");
    }
}
