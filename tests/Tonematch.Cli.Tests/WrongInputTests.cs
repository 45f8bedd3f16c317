using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>Whatever is given, the answer is a sentence and the right exit code, and nothing is lost.</summary>
public sealed class WrongInputTests : IDisposable
{
    private const string PairsHeader = "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b\n";

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData(2, "Required command", "")]
    [InlineData(2, "paint", "paint")]
    [InlineData(2, "--out", "sample a.mp4 b.mp4")]
    [InlineData(2, "camera B", "match a.mp4 --out OUT")]
    [InlineData(2, "--lut-size", "match a.mp4 b.mp4 --out OUT --lut-size 1")]
    [InlineData(2, "--lut-size", "match a.mp4 b.mp4 --out OUT --lut-size many")]
    [InlineData(2, "--model", "match a.mp4 b.mp4 --out OUT --model magic")]
    [InlineData(2, "--method", "match a.mp4 b.mp4 --out OUT --method guess")]
    [InlineData(2, "--offset", "match a.mp4 b.mp4 --out OUT --offset soon")]
    [InlineData(2, "--offset", "match a.mp4 b.mp4 --out OUT --offset NaN")]
    [InlineData(2, "--tolerance", "match a.mp4 b.mp4 --out OUT --tolerance -1")]
    [InlineData(2, "--chart", "match a.mp4 b.mp4 --out OUT --chart rainbow")]
    [InlineData(2, "region", "match a.mp4 b.mp4 --out OUT --region apron")]
    [InlineData(2, "--primary-chart", "match a.mp4 b.mp4 --out OUT --primary-chart 1,2,3")]
    [InlineData(2, "--mic-distance", "match a.mp4 b.mp4 --out OUT --mic-distance near")]
    [InlineData(2, "--audio-track", "match a.mp4 b.mp4 --out OUT --audio-track 0,1")]
    [InlineData(2, "--encoding", "fit PAIRS --out OUT --encoding cinema")]
    [InlineData(2, "--encoding", "fit PAIRS --out OUT --encoding srgb --primary-encoding srgb")]
    [InlineData(2, "--offset", "match a.mp4 b.mp4 c.mp4 --out OUT --offset 1")]
    [InlineData(3, "a.mp4", "match a.mp4 b.mp4 --out OUT --model auto --method auto --offset auto")]
    [InlineData(3, "a.mp4", "sample a.mp4 b.mp4 --out OUT --method auto --offset auto")]
    [InlineData(3, "a.mp4", "check a.mp4 b.mp4 --method auto --offset auto")]
    [InlineData(4, "too few", "fit FEWPAIRS --out OUT --model auto")]
    [InlineData(2, "--primary-encoding or --secondary-encoding", "match a.mp4 b.mp4 --out OUT --encoding slog")]
    [InlineData(2, "--lut-size", "match a.mp4 b.mp4 --out OUT --lutsize 33")]
    [InlineData(2, "--json", "sync a.mp4 b.mp4 --jsn")]
    [InlineData(2, "--correction", "render a.mp4 --corection x.cube --out OUT")]
    [InlineData(2, "-x.mp4", "probe -x.mp4")]
    [InlineData(3, "-x.mp4", "probe -- -x.mp4")]
    [InlineData(2, "--at", "match a.mp4 b.mp4 --out OUT --at NaN")]
    [InlineData(2, "--at", "match a.mp4 b.mp4 --out OUT --at 1,,2")]
    [InlineData(3, "a.mp4", "match a.mp4 b.mp4 --out OUT --at 1,00:00:02:23,00:01:00;04")]
    [InlineData(2, "one point", "match a.mp4 b.mp4 --out OUT --primary-chart 5,5,5,5,5,5,5,5")]
    [InlineData(2, "one line", "match a.mp4 b.mp4 --out OUT --primary-chart 0,0,100,100,200,200,300,300")]
    [InlineData(3, "the weight", "fit HEAVYPAIRS --out OUT")]
    [InlineData(2, ".svg", "check a.mp4 b.mp4 --plot picture.png")]
    [InlineData(3, "does not exist", "match a.mp4 b.mp4 --out OUT")]
    [InlineData(3, "does not exist", "fit nosuch.csv --out OUT")]
    [InlineData(3, "folder", "probe FOLDER")]
    [InlineData(3, "empty", "probe EMPTY")]
    [InlineData(3, "TEXT", "probe TEXT")]
    [InlineData(3, "empty", "fit EMPTY --out OUT")]
    [InlineData(3, "header", "fit TEXT --out OUT")]
    [InlineData(3, "folder", "fit FOLDER --out OUT")]
    [InlineData(3, "is a file", "fit PAIRS --out TEXT")]
    [InlineData(3, "does not exist", "lut inspect nosuch.cube")]
    [InlineData(3, "TEXT", "lut inspect TEXT")]
    [InlineData(3, "ending", "check a.mp4 b.mp4 --correction TEXT")]
    [InlineData(3, "does not exist", "check a.mp4 b.mp4 --correction nosuch.cube")]
    [InlineData(3, "line 2", "fit BADPAIRS --out OUT")]
    [InlineData(4, "too few", "fit FEWPAIRS --out OUT")]
    [InlineData(4, "one and the same colour", "fit SAMEPAIRS --out OUT")]
    public async Task WrongInput_GetsASentenceAndItsExitCode(int exitCode, string word, string commandLine)
    {
        Directory.CreateDirectory(_folder.PathOf("folder"));
        File.WriteAllText(_folder.PathOf("empty.mp4"), "");
        File.WriteAllText(_folder.PathOf("TEXT.txt"), "This is a letter, not a clip.\n");
        File.WriteAllText(_folder.PathOf("pairs.csv"), PairsHeader + "a,a,0.5,0.5,0.5,0.4,0.4,0.4\n");
        File.WriteAllText(_folder.PathOf("bad.csv"), PairsHeader + "a,a,0.5,0.5,half,0.4,0.4,0.4\n");
        File.WriteAllText(_folder.PathOf("heavy.csv"), PairsHeader.TrimEnd() + ",weight\na,a,0.5,0.5,0.5,0.4,0.4,0.4,1e308\nb,b,0.2,0.5,0.5,0.2,0.4,0.4,1e308\nc,c,0.5,0.2,0.5,0.4,0.2,0.4,1e308\n");
        File.WriteAllText(_folder.PathOf("same.csv"), PairsHeader + string.Concat(Enumerable.Range(0, 9).Select(i => $"p{i},g{i},0.5,0.5,0.5,0.4,0.4,0.4\n")));
        Dictionary<string, string> names = new()
        {
            ["OUT"] = _folder.PathOf("out"),
            ["FOLDER"] = _folder.PathOf("folder"),
            ["EMPTY"] = _folder.PathOf("empty.mp4"),
            ["TEXT"] = _folder.PathOf("TEXT.txt"),
            ["PAIRS"] = _folder.PathOf("pairs.csv"),
            ["FEWPAIRS"] = _folder.PathOf("pairs.csv"),
            ["BADPAIRS"] = _folder.PathOf("bad.csv"),
            ["HEAVYPAIRS"] = _folder.PathOf("heavy.csv"),
            ["SAMEPAIRS"] = _folder.PathOf("same.csv"),
        };
        string[] arguments = [.. commandLine.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(a => names.GetValueOrDefault(a, a))];

        ProgramRun run = await BuiltProgram.RunInAsync(_folder.FullPath, arguments);

        run.Ended(exitCode).Says(word);
        Assert.True(run.Error.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length <= 6, run.Error);
        Assert.Equal("This is a letter, not a clip.\n", File.ReadAllText(_folder.PathOf("TEXT.txt")));
        Assert.False(Path.Exists(_folder.PathOf("out")), "a half result, or a folder for it, was left");
    }

    [Fact]
    public async Task Match_WithoutAFolder_MakesANewOneBesideTheSecondaryAndNeverUsesOneThatIsThere()
    {
        // The inputs are no clips, so nothing is made; which folder it would have been is in the code's own test.
        Assert.Equal([_folder.PathOf("close-match")], Commands.SecondaryFolders.For(null, [_folder.PathOf("close.mp4")]));
        Directory.CreateDirectory(_folder.PathOf("close-match"));
        Assert.Equal([_folder.PathOf("close-match-2")], Commands.SecondaryFolders.For(null, [_folder.PathOf("close.mp4")]));
        Assert.Equal(
            [_folder.PathOf("close-match-2"), _folder.PathOf("close-match-3")],
            Commands.SecondaryFolders.For(null, [_folder.PathOf("close.mp4"), _folder.PathOf("close.mov")]));
        (await BuiltProgram.RunInAsync(_folder.FullPath, "match", "a.mp4", "b.mp4")).Ended(3).Says("a.mp4");
        Assert.False(Path.Exists(_folder.PathOf("b-match")));
    }

    [Fact]
    public async Task Match_OfSeveral_LooksAtTheLastNameBeforeItWorksOnTheFirst()
    {
        ProgramRun run = await BuiltProgram.RunInAsync(_folder.FullPath, "match", "a.mp4", "b.mp4", "c.mp4", "--out", "out");
        run.Ended(3);
        Assert.False(Path.Exists(_folder.PathOf("out")));
    }

    [Fact]
    public async Task Render_WithoutAFolderForTemporaryFiles_SaysWhichIsMissing()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "Windows knows it by another name");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=size=160x90:rate=25:duration=1", "-pix_fmt", "yuv420p", "file:" + _folder.PathOf("clip.mp4")]);
        File.WriteAllText(_folder.PathOf("a.cc"), "<ColorCorrection id=\"b\"><SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>");
        ProgramRun run = await BuiltProgram.RunWithAsync(
            new Dictionary<string, string> { ["TMPDIR"] = "/no/such/folder" }, _folder.FullPath, "render", "clip.mp4", "--correction", "a.cc", "--out", "out.mp4");
        run.Ended(3).Says("temporary", "/no/such/folder", "TMPDIR");
        Assert.False(Path.Exists(_folder.PathOf("out.mp4")));
    }

    [Fact]
    public async Task Demo_IntoAFolderWithFilesOfItsNames_AsksFirst()
    {
        File.WriteAllText(_folder.PathOf("potter-wide.mp4"), "mine");
        (await BuiltProgram.RunInAsync(_folder.FullPath, "demo", "--out", ".")).Ended(3).Says("potter-wide.mp4", "--force");
        Assert.Equal("mine", File.ReadAllText(_folder.PathOf("potter-wide.mp4")));
    }

    [Fact]
    public async Task Demo_OnAFullDisk_SaysSo()
    {
        Assert.SkipUnless(File.Exists("/dev/full"), "this system has no device that is always full");

        // The first file the demo writes leads to a device that takes nothing.
        File.CreateSymbolicLink(_folder.PathOf("potter-wide.mp4.sound.wav"), "/dev/full");
        (await BuiltProgram.RunInAsync(_folder.FullPath, "demo", "--out", ".")).Ended(3).Says("disk is full");
        Assert.False(Path.Exists(_folder.PathOf("potter-wide.mp4")));
    }

    [Fact]
    public async Task LutInspect_TitleWithEscapeCodes_DoesNotReachTheTerminal()
    {
        File.WriteAllText(_folder.PathOf("a.cube"), "TITLE \"a\u001b[2Jb\"\nLUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        ProgramRun run = (await BuiltProgram.RunInAsync(_folder.FullPath, "lut", "inspect", "a.cube")).Ended(0).Prints("a?[2Jb");
        Assert.DoesNotContain('\u001b', run.Output);
    }

    // A file from an old disk may have a name whose bytes are no UTF-8; a shell hands it over as it is.
    [Theory]
    [InlineData("probe", "mp4")]
    [InlineData("lut inspect", "cube")]
    public async Task NameThatIsNotUtf8_IsSaidToBeThat(string command, string ending)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows() || OperatingSystem.IsMacOS(), "names there are always text");
        string script = $"printf x > \"$(printf 'caf\\351.{ending}')\"; exec \"$0\" {command} \"$(printf 'caf\\351.{ending}')\"";
        ProgramRun run = await BuiltProgram.RunProgramAsync("/bin/sh", _folder.FullPath, "-c", script, BuiltProgram.FullPath);
        run.Ended(3).Says("not UTF-8", "Rename the file");
        Assert.DoesNotContain("does not exist", run.Error, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Version_IsShort() => Assert.Matches("^[0-9.]{1,12}\n$", (await BuiltProgram.RunAsync("--version")).Ended(0).Output.Replace("\r", "", StringComparison.Ordinal));

    [Theory]
    [InlineData("sample a.mp4 b.mp4 --regions r.json --out r.json --force")]
    [InlineData("check a.mp4 b.mp4 --regions r.json --csv r.json --force")]
    [InlineData("match a.mp4 b.mp4 --regions d/match.json --out d --force")]
    [InlineData("fit ln/pairs.csv --out d --force")]
    [InlineData("fit d/pairs.csv --out ln --force")]
    [InlineData("lut convert d/a.cube --out ln/a.cube --force")]
    [InlineData("lut convert d/a.cube --out hard.cube --force")]
    public async Task Output_OverAFileThatIsRead_IsRefusedUnderAnyName(string commandLine)
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "links need rights there");
        const string regions = """[{"name": "a", "primary": {"x": 0, "y": 0, "width": 1, "height": 1}, "secondary": {"x": 0, "y": 0, "width": 1, "height": 1}}]""";
        Directory.CreateDirectory(_folder.PathOf("d"));
        Directory.CreateSymbolicLink(_folder.PathOf("ln"), _folder.PathOf("d"));
        File.WriteAllText(_folder.PathOf("r.json"), regions);
        File.WriteAllText(_folder.PathOf("d", "match.json"), regions);
        File.WriteAllText(_folder.PathOf("d", "pairs.csv"), PairsHeader + string.Concat(Enumerable.Range(1, 9).Select(i => $"p{i},g{i},0.{i},0.5,0.5,0.{i},0.4,0.4\n")));
        File.WriteAllText(_folder.PathOf("d", "a.cube"), "LUT_3D_SIZE 2\n0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n");
        ExternalTool.RequireProgram("ln").Run([_folder.PathOf("d", "a.cube"), _folder.PathOf("hard.cube")]);
        Dictionary<string, string> before = Texts();
        (await BuiltProgram.RunInAsync(_folder.FullPath, commandLine.Split(' '))).Ended(3).Says("one of the inputs");
        Assert.Equal(before, Texts());

        Dictionary<string, string> Texts() => Directory.GetFiles(_folder.FullPath, "*", SearchOption.AllDirectories).ToDictionary(f => f, File.ReadAllText);
    }

    [Theory]
    [InlineData("far away=5000,5000,50,50")]
    [InlineData("far away=1e300,1e300,1e300,1e300")]
    public async Task Sample_ThatFindsNothing_WritesNothingAndEndsWith4(string region)
    {
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc2=size=320x180", "-frames:v", "1", "file:" + _folder.PathOf("a.png")]);
        ProgramRun run = await BuiltProgram.RunInAsync(_folder.FullPath, "sample", "a.png", "a.png", "--region", region, "--out", "pairs.csv");
        run.Ended(4).Says("far away");
        Assert.False(File.Exists(_folder.PathOf("pairs.csv")));
    }
}
