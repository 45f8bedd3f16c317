using System.CommandLine;
using Tonematch.Demo;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>What README.md and docs/guide.md tell people to type works as it stands there.</summary>
public class DocumentedCommandsTests(DocumentedCommandsTests.Desk desk) : IClassFixture<DocumentedCommandsTests.Desk>
{
    /// <summary>The demo's clips in a small size under the names of the pages, and the first match of them.</summary>
    public sealed class Desk : IAsyncLifetime, IDisposable
    {
        private readonly TempFolder _folder = new();

        public string Folder => _folder.FullPath;

        public async ValueTask InitializeAsync()
        {
            DemoClips clips = await DemoFootage.WriteAsync(_folder.FullPath, CancellationToken.None, height: 360);
            File.Move(clips.PrimaryPath, _folder.PathOf("wide.mp4"));
            File.Move(clips.SecondaryPath, _folder.PathOf("close.mp4"));
            (await BuiltProgram.RunInAsync(Folder, DocumentedCommands.All.First(c => c.StartsWith("match ", StringComparison.Ordinal)).Split(' '))).Ended(0);
            File.Copy(_folder.PathOf("match", "pairs.csv"), _folder.PathOf("pairs.csv"));
        }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;

        public void Dispose() => _folder.Dispose();
    }

    public static TheoryData<string> Commands => [.. DocumentedCommands.All];

    [Fact]
    public void Pages_HoldTheCommandsOfTheMainJob()
    {
        string[] first = [.. DocumentedCommands.All.Select(c => c.Split(' ')[0]).Distinct()];
        Assert.Superset(new HashSet<string> { "match", "sync", "check", "render", "fit", "lut", "probe", "selfcheck" }, [.. first]);
    }

    [Fact]
    public void Of_APage_TakesLinesOfCodeAndSentencesAndLeavesExplanationsAndPlaceholders() => Assert.Equal(
        ["sync a b", "match a b --out m", "chart print", "lut inspect m/c.cube"],
        DocumentedCommands.Of("```\n./run tonematch sync a b          how they lie\n```\n    ./run tonematch match a b --out m\nOr `tonematch chart print`; `./run tonematch COMMAND --help`; `./run tonematch lut inspect m/c.cube`, `./run demo`.\n"));

    [Theory]
    [MemberData(nameof(Commands))]
    public void Command_IsUnderstood(string command)
    {
        using Terminal terminal = Terminal.OfThisProcess();
        ParseResult parsed = Program.Parse(command.Split(' '), terminal);
        Assert.Null(UnknownOptions.Refusal(parsed));
        Assert.Empty(parsed.Errors.Select(e => e.Message));
    }

    // Each in a folder of its own that holds what the command reads, so that one does not stand in another's way.
    [Theory]
    [MemberData(nameof(Commands))]
    public async Task Command_OnTheDemosClips_DoesWhatItSays(string command)
    {
        string[] words = command.Split(' ');
        using TempFolder folder = new();
        foreach (string read in words.Where((w, i) => i > 0 && words[i - 1] is not ("--out" or "--plot") && File.Exists(Path.Combine(desk.Folder, w))))
        {
            Directory.CreateDirectory(Path.GetDirectoryName(folder.PathOf(read))!);
            File.Copy(Path.Combine(desk.Folder, read), folder.PathOf(read));
        }

        (await BuiltProgram.RunInAsync(folder.FullPath, words)).Ended(0);
        Assert.All(words.Zip(words.Skip(1)).Where(w => w.First is "--out" or "--plot").Select(w => w.Second), made => Assert.True(Path.Exists(folder.PathOf(made)), made));
    }
}
