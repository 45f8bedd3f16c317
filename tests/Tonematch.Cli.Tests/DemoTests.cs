using System.Text.Json;
using System.Text.RegularExpressions;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>The whole main job on the demo's clips, once; several claims about it.</summary>
public class DemoTests(DemoTests.DemoRun demo, SmallDemo small) : IClassFixture<DemoTests.DemoRun>
{
    /// <summary>One run of the demo for all tests here.</summary>
    public sealed class DemoRun : IAsyncLifetime, IDisposable
    {
        private readonly TempFolder _folder = new();

        internal ProgramRun Run { get; private set; } = null!;

        public JsonElement Match { get; private set; }

        public string PathOf(params string[] parts) => _folder.PathOf(parts);

        public async ValueTask InitializeAsync()
        {
            Run = (await BuiltProgram.RunAsync("demo", "--out", _folder.FullPath)).Ended(0);
            Match = JsonDocument.Parse(File.ReadAllText(PathOf("match", "match.json"))).RootElement;
        }

        public ValueTask DisposeAsync() => ValueTask.CompletedTask;

        public void Dispose() => _folder.Dispose();
    }

    [Fact]
    public void Demo_WritesEveryFileOfTheContract() => Assert.All(
        (string[])["correction.cube", "correction.cdl", "correction.clf", "correction.txt", "match.json", "pairs.csv", "report.html"],
        name => Assert.True(new FileInfo(demo.PathOf("match", name)) is { Exists: true, Length: > 0 }, name));

    // The truth is what the scene was drawn with; the program prints it beside what it found.
    [Fact]
    public void Demo_OffsetFoundByTheSound_IsWithinAMillisecondOfTheTruth()
    {
        string line = demo.Run.Output.Split('\n').Single(l => l.StartsWith("The true offset", StringComparison.Ordinal));
        double[] numbers = [.. line.Split(' ').Select(w => w.TrimEnd('.', ';')).Where(w => double.TryParse(w, System.Globalization.CultureInfo.InvariantCulture, out _))
            .Select(w => double.Parse(w, System.Globalization.CultureInfo.InvariantCulture))];
        Assert.Equal(2, numbers.Length);
        Assert.Equal(numbers[0], numbers[1], 0.001);
        Assert.Equal(numbers[1], demo.Match.GetProperty("sync").GetProperty("offset_seconds").GetDouble(), 1e-4);
    }

    [Fact]
    public void Demo_Match_BringsTheCamerasFromVisiblyApartToHardToSee()
    {
        Assert.Equal("chart", demo.Match.GetProperty("method").GetString());
        Assert.True(demo.Match.GetProperty("before").GetProperty("mean").GetDouble() > 4);
        Assert.True(demo.Match.GetProperty("after").GetProperty("mean").GetDouble() < 1.6);
    }

    [Fact]
    public void Demo_Match_IsRecomputableFromPairsAndCubeByTheFitCommandsOwnFiles()
    {
        // Every figure of 'after' follows from pairs.csv and correction.cube: recomputed here with nothing but those.
        (double mean, double max) = Recomputed.After(demo.PathOf("match", "pairs.csv"), demo.PathOf("match", "correction.cube"));
        JsonElement after = demo.Match.GetProperty("after");
        Assert.Equal(after.GetProperty("mean").GetDouble(), mean, 2e-4);
        Assert.Equal(after.GetProperty("max").GetDouble(), max, 1e-3);
    }

    [Fact]
    public void MatchJson_HoldsTheFieldsOfItsTableAndNoOthers()
    {
        string page = File.ReadAllText(RepositoryFolder.PathOf("docs", "formats.md")).ReplaceLineEndings("\n");
        string[] rows = [.. page.Split("## match.json\n")[1].Split("\n\n").Single(part => part.StartsWith("| field |", StringComparison.Ordinal)).Split('\n').Skip(2)];
        List<string> documented = [];
        foreach (string[] cells in rows.Select(r => r.Split('|', StringSplitOptions.RemoveEmptyEntries | StringSplitOptions.TrimEntries)))
        {
            string[] fields = Names(cells[0]);
            documented.AddRange(fields);
            foreach (JsonElement value in fields.Where(f => demo.Match.TryGetProperty(f, out _)).Select(demo.Match.GetProperty))
            {
                // The names in the description are fields inside this one; of the models, of each.
                JsonElement inside = fields[0] == "models" ? value.EnumerateObject().First().Value : value;
                Assert.All(
                    inside.ValueKind == JsonValueKind.Object ? Names(cells[1]) : [],
                    name => Assert.True(inside.TryGetProperty(name, out _), $"'{name}' is in the description of '{fields[0]}' and not in it."));
            }
        }

        Assert.Equal(documented.Order(), demo.Match.EnumerateObject().Select(p => p.Name).Order());

        static string[] Names(string cell) => [.. Regex.Matches(cell, "`([a-z0-9_]+)`").Select(m => m.Groups[1].Value)];
    }

    [Fact]
    public async Task Match_OfTheDemosClips_HoldsOverTheWholeRecording()
    {
        ProgramRun check = (await BuiltProgram.RunAsync(
            "check", demo.PathOf("potter-wide.mp4"), demo.PathOf("potter-hands.mp4"), "--correction", demo.PathOf("match", "correction.cube"), "--tolerance", "2.5", "--json")).Ended(0);
        Assert.Equal("overlap", check.Json.GetProperty("method").GetString());
        Assert.True(check.Json.GetProperty("all").GetProperty("mean").GetDouble() < 2.5);
    }

    [Fact]
    public async Task Check_WithoutCorrection_MissesTheToleranceWithExitCode5() => (await BuiltProgram.RunAsync(
        "check", demo.PathOf("potter-wide.mp4"), demo.PathOf("potter-hands.mp4"), "--at", "5")).Ended(5).Says("above the tolerance");

    [Fact]
    public async Task Sync_Swapped_NegatesTheOffset()
    {
        string wide = demo.PathOf("potter-wide.mp4"), hands = demo.PathOf("potter-hands.mp4");
        double there = (await BuiltProgram.RunAsync("sync", wide, hands, "--json")).Ended(0).Json.GetProperty("sync").GetProperty("offset_seconds").GetDouble();
        double back = (await BuiltProgram.RunAsync("sync", hands, wide, "--json")).Ended(0).Json.GetProperty("sync").GetProperty("offset_seconds").GetDouble();
        Assert.Equal(-there, back, 5e-4);
    }

    [Fact]
    public async Task Match_IntoAFolderWithResults_IsRefusedUntilForced()
    {
        byte[] before = File.ReadAllBytes(demo.PathOf("match", "correction.cube"));
        (await BuiltProgram.RunAsync("match", demo.PathOf("potter-wide.mp4"), demo.PathOf("potter-hands.mp4"), "--out", demo.PathOf("match")))
            .Ended(3).Says("there already", "--force");
        Assert.Equal(before, File.ReadAllBytes(demo.PathOf("match", "correction.cube")));
    }

    // The scene raises the chart from 0.15 s on and holds it still from 1.2 to 5 s of the primary (DemoScene); keyframes are a second apart.
    [Fact]
    public async Task ChartFind_WithoutATime_LooksThroughTheClipAndSaysWhere()
    {
        JsonElement found = (await BuiltProgram.RunAsync("chart", "find", demo.PathOf("potter-wide.mp4"), "--json")).Ended(0).Json;
        Assert.InRange(found.GetProperty("from_seconds").GetDouble(), 0.5, 2.2);
        Assert.InRange(found.GetProperty("to_seconds").GetDouble(), found.GetProperty("from_seconds").GetDouble(), 6);
        Assert.Equal(24, found.GetProperty("patches").GetArrayLength());
    }

    [Fact]
    public async Task Match_OneSecondaryOfTwoIsAnotherEvent_TheOtherIsMatchedAndTheRefusedOneNamed()
    {
        string other = demo.PathOf("another-event.mp4");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-f", "lavfi", "-i", "life=s=320x180:rate=25:mold=10:ratio=0.1", "-f", "lavfi", "-i", "anoisesrc=r=48000:seed=5:a=0.1",
            "-t", "12", "-pix_fmt", "yuv420p", "-c:a", "aac", "file:" + other]);
        ProgramRun json = (await BuiltProgram.RunAsync("match", small.Clips.PrimaryPath, other, small.Clips.SecondaryPath, "--out", demo.PathOf("both"), "--json")).Ended(4).Says("another-event.mp4");
        Assert.True(File.Exists(demo.PathOf("both", "potter-hands", "report.html")));
        Assert.False(Path.Exists(demo.PathOf("both", "another-event")));
        Assert.Equal(2, json.Json.GetArrayLength());
        Assert.Contains("another-event.mp4", json.Json[0].GetProperty("secondary").GetProperty("path").GetString(), StringComparison.Ordinal);
        Assert.NotEqual("", json.Json[0].GetProperty("refused").GetString());
        Assert.Equal("tonematch-match-1", json.Json[1].GetProperty("schema").GetString());
    }

    [Fact]
    public async Task Match_SameClipTwice_FindsNothingToDo()
    {
        string clip = demo.PathOf("short.mp4");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-i", "file:" + small.Clips.PrimaryPath, "-t", "4", "-c", "copy", "file:" + clip]);
        ProgramRun run = (await BuiltProgram.RunAsync("match", clip, clip, "--out", demo.PathOf("same"), "--json", "--offset", "0")).Ended(0).Says("same file");
        Assert.Equal(0, run.Json.GetProperty("after").GetProperty("max").GetDouble(), 0.05);
        Assert.Equal("identity", run.Json.GetProperty("chosen").GetString());
    }
}
