using System.CommandLine;
using Tonematch.Demo;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>What README.md and docs/guide.md tell people to type works as it stands there.</summary>
public class DocumentedCommandsTests(SmallDemo small)
{
    private static readonly string[] s_made = ["--out", "--plot", "--plan"];

    public static TheoryData<string> Commands => [.. DocumentedCommands.All];

    [Fact]
    public void Pages_HoldTheCommandsOfTheMainJob() => Assert.Superset(
        new HashSet<string> { "match", "sync", "check", "render", "fit", "lut", "probe", "selfcheck" },
        DocumentedCommands.All.Select(c => c.Split(' ')[0]).ToHashSet());

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

    // As a reader goes through the pages: in their order, in one folder, on the demo's clips in a small size. What an
    // earlier command made under the same name is put away first.
    [Fact]
    public async Task Commands_OneAfterTheOther_DoWhatTheySay()
    {
        using TempFolder folder = new();
        DemoClips clips = small.Clips;
        foreach ((string clip, string name) in (ReadOnlySpan<(string, string)>)
        [
            (clips.PrimaryPath, "wide.mp4"), (clips.SecondaryPath, "close.mp4"),
            (clips.PrimaryPath, "camera-a/wide.mp4"), (clips.SecondaryPath, "camera-b/close.mp4"),
        ])
        {
            Directory.CreateDirectory(Path.GetDirectoryName(folder.PathOf(name))!);
            File.Copy(clip, folder.PathOf(name));
        }

        // The same camera for a shorter time, in another container: a copy would be skipped.
        Directory.CreateDirectory(folder.PathOf("phone"));
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", "file:" + clips.SecondaryPath, "-t", "16", "-c", "copy", "file:" + folder.PathOf("phone", "IMG_0001.MOV")]);

        // What a sound recorder wrote: no pictures.
        Directory.CreateDirectory(folder.PathOf("recorder"));
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", "file:" + clips.PrimaryPath, "-vn", "-c:a", "pcm_s16le", "file:" + folder.PathOf("recorder", "R1.wav")]);
        foreach (string command in DocumentedCommands.All.TakeWhile(c => !NeedsAPerson(c)))
        {
            string[] words = command.Split(' '), made = [.. words.Zip(words.Skip(1)).Where(w => s_made.Contains(w.First)).Select(w => folder.PathOf(w.Second))];
            Array.ForEach(made, PutAway);
            ProgramRun run = await BuiltProgram.RunInAsync(folder.FullPath, words);
            Assert.True(run.ExitCode == 0, $"tonematch {command}\nended with {run.ExitCode}:\n{run.Output}\n{run.Error}");
            Assert.All(made, path => Assert.True(Path.Exists(path), $"tonematch {command}\nmade no {path}"));
            StandIn(folder, "pairs.csv", () => File.ReadAllText(folder.PathOf("match", "pairs.csv")));

            // Written where a camera's exposure wanders; the demo's do not.
            StandIn(folder, "matched/phone/drift.csv", () => "seconds,stops,mired,green_magenta\n0,0,0,0\n");
        }
    }

    // From the workbench on, commands need what only a person at the page makes; they are parsed, not run.
    private static bool NeedsAPerson(string command) => command.Contains("--session", StringComparison.Ordinal) || command.StartsWith("workbench", StringComparison.Ordinal);

    private static void StandIn(TempFolder folder, string name, Func<string> text)
    {
        string path = folder.PathOf(name);
        if (!File.Exists(path) && Directory.Exists(Path.GetDirectoryName(path)))
        {
            File.WriteAllText(path, text());
        }
    }

    private static void PutAway(string path)
    {
        if (Directory.Exists(path))
        {
            Directory.Delete(path, recursive: true);
        }

        File.Delete(path);
    }
}
