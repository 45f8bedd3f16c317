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
    [InlineData(2, "--out", "match a.mp4 b.mp4")]
    [InlineData(2, "secondary", "match a.mp4 --out OUT")]
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
    [InlineData(2, ".svg", "check a.mp4 b.mp4 --plot picture.png")]
    [InlineData(3, "does not exist", "match a.mp4 b.mp4 --out OUT")]
    [InlineData(3, "is not there", "fit nosuch.csv --out OUT")]
    [InlineData(3, "folder", "probe FOLDER")]
    [InlineData(3, "empty", "probe EMPTY")]
    [InlineData(3, "TEXT", "probe TEXT")]
    [InlineData(3, "empty", "fit EMPTY --out OUT")]
    [InlineData(3, "header", "fit TEXT --out OUT")]
    [InlineData(3, "folder", "fit FOLDER --out OUT")]
    [InlineData(3, "is a file", "fit PAIRS --out TEXT")]
    [InlineData(3, "is not there", "lut inspect nosuch.cube")]
    [InlineData(3, "TEXT", "lut inspect TEXT")]
    [InlineData(3, "ending", "check a.mp4 b.mp4 --correction TEXT")]
    [InlineData(3, "is not there", "check a.mp4 b.mp4 --correction nosuch.cube")]
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
            ["SAMEPAIRS"] = _folder.PathOf("same.csv"),
        };
        string[] arguments = [.. commandLine.Split(' ', StringSplitOptions.RemoveEmptyEntries).Select(a => names.GetValueOrDefault(a, a))];

        ProgramRun run = await BuiltProgram.RunInAsync(_folder.FullPath, arguments);

        run.Ended(exitCode).Says(word);
        Assert.True(run.Error.Split('\n', StringSplitOptions.RemoveEmptyEntries).Length <= 6, run.Error);
        Assert.Equal("This is a letter, not a clip.\n", File.ReadAllText(_folder.PathOf("TEXT.txt")));
        Assert.False(Path.Exists(_folder.PathOf("out")), "a half result, or a folder for it, was left");
    }
}
