using System.Globalization;
using System.Text.Json;
using Tonematch.Colour;
using Tonematch.Formats.Clf;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Media.Files;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>A camera that records in a log profile, and the table that brings its recording back, given by the user.</summary>
public sealed class InputLutTests : IDisposable
{
    private const int Columns = 6, Rows = 5, Tile = 40;

    private readonly TempFolder _folder = new();
    private readonly CodeRgb[] _tiles = MadeColours.Spread(Columns * Rows, seed: 3);
    private readonly string[] _regions;

    public InputLutTests()
    {
        _regions = [.. Enumerable.Range(0, Columns * Rows).SelectMany(i =>
        {
            string box = string.Create(CultureInfo.InvariantCulture, $"{(Tile * (i % Columns)) + 5},{(Tile * (i / Columns)) + 5},30,30");
            return (string[])["--region", $"t{i}={box}:{box}"];
        })];
        Draw("a.png", c => c);
        Draw("b.png", Warm);
        Draw("log.png", c => Log(Warm(c)));

        // What brings the log curve back: a 1D table, as the curve alone is.
        Lut1D back = new(4096, [.. Enumerable.Range(0, 3 * 4096).Select(i => (float)((Math.Pow(2, ((i / 3 / 4095.0) - 0.09) / 0.165) - 1) / 15))]);
        using StreamWriter file = new(_folder.PathOf("maker.cube"));
        CubeFormat.Write(file, back, "back from log");
    }

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Match_WithAnInputForTheSecondary_WritesFilesThatTakeTheClipAsItWasRecorded()
    {
        ProgramRun run = await RunAsync("match", "a.png", "log.png", "--out", "out", "--secondary-input", "maker.cube", "--primary-encoding", "bt709", "--model", "matrix", "--lut-size", "65");
        run.Ended(0).Says("maker.cube is part of correction.cube", "assumed to be bt709");
        JsonElement json = JsonDocument.Parse(File.ReadAllText(_folder.PathOf("out", "match.json"))).RootElement;
        Assert.True(json.GetProperty("secondary").GetProperty("input").GetProperty("part_of_correction").GetBoolean());
        Assert.Equal(_folder.PathOf("maker.cube"), json.GetProperty("secondary").GetProperty("input").GetProperty("path").GetString());
        Assert.Equal(JsonValueKind.Null, json.GetProperty("primary").GetProperty("input").ValueKind);
        Assert.InRange(json.GetProperty("after").GetProperty("mean").GetDouble(), 0, 0.2);
        Assert.False(File.Exists(_folder.PathOf("out", "correction.cdl")));
        Assert.Contains("maker.cube", File.ReadAllText(_folder.PathOf("out", "report.html")), StringComparison.Ordinal);
        Assert.StartsWith("These numbers act on what maker.cube makes of", File.ReadAllText(_folder.PathOf("out", "correction.txt")), StringComparison.Ordinal);

        // The colours as recorded, through each file alone, are camera A's.
        CubeFile cube = CubeFormat.Read(new StringReader(File.ReadAllText(_folder.PathOf("out", "correction.cube"))), "correction.cube");
        ClfFile clf = ClfFormat.Read(new StringReader(File.ReadAllText(_folder.PathOf("out", "correction.clf"))), "correction.clf");
        foreach (CodeRgb tile in _tiles)
        {
            Near(tile, cube.Apply(Log(Warm(tile))), 0.01);
            Near(tile, clf.Apply(Log(Warm(tile))), 0.002);
        }

        (await RunAsync("check", "a.png", "log.png", "--correction", "out/correction.cube", "--primary-encoding", "bt709", "--tolerance", "0.6")).Ended(0);
        (await RunAsync("check", "a.png", "log.png", "--correction", "out/correction.cube", "--secondary-input", "maker.cube")).Ended(2).Says("already");
        (await RunAsync("check", "a.png", "log.png", "--secondary-input", "maker.cube", "--tolerance", "50")).Ended(0);
    }

    [Fact]
    public async Task Match_WithAnInputForThePrimary_AimsAtWhatComesOutOfItAndLeavesItOutOfTheCorrection()
    {
        ProgramRun run = await RunAsync("match", "log.png", "a.png", "--out", "out", "--primary-input", "maker.cube", "--secondary-encoding", "bt709", "--model", "matrix");
        run.Ended(0).Says("load that file on camera A's clips");
        JsonElement json = JsonDocument.Parse(File.ReadAllText(_folder.PathOf("out", "match.json"))).RootElement;
        Assert.False(json.GetProperty("primary").GetProperty("input").GetProperty("part_of_correction").GetBoolean());
        CubeFile cube = CubeFormat.Read(new StringReader(File.ReadAllText(_folder.PathOf("out", "correction.cube"))), "correction.cube");
        foreach (CodeRgb tile in _tiles)
        {
            Near(Warm(tile), cube.Apply(tile), 0.01);
        }
    }

    [Fact]
    public async Task Sample_WithAnInput_WritesTheColoursThatComeOutOfIt()
    {
        (await RunAsync("sample", "b.png", "log.png", "--out", "pairs.csv", "--secondary-input", "maker.cube")).Ended(0);
        foreach (string line in File.ReadAllLines(_folder.PathOf("pairs.csv")).Skip(1))
        {
            double[] v = [.. line.Split(',').Skip(2).Take(6).Select(f => double.Parse(f, CultureInfo.InvariantCulture))];
            Near(new CodeRgb(v[0], v[1], v[2]), new CodeRgb(v[3], v[4], v[5]), 0.002);
        }
    }

    [Fact]
    public async Task Inputs_ThatCannotBe_AreRefusedInASentenceAndNeverWrittenOver()
    {
        (await RunAsync("match", "a.png", "log.png", "--out", "out", "--secondary-input", "nosuch.cube")).Ended(3).Says("nosuch.cube");
        (await RunAsync("match", "a.png", "log.png", "--out", "out", "--secondary-input", "a.png")).Ended(3).Says(".cube or .clf");
        (await RunAsync("match", "a.png", "log.png", "b.png", "--out", "out", "--secondary-input", "maker.cube")).Ended(2).Says("one camera B");
        Directory.CreateDirectory(_folder.PathOf("out"));
        string own = _folder.PathOf("out", "correction.cube");
        File.Copy(_folder.PathOf("maker.cube"), own);
        (await RunAsync("match", "a.png", "log.png", "--out", "out", "--force", "--secondary-input", own)).Ended(3).Says("correction.cube");
        Assert.Equal(File.ReadAllText(_folder.PathOf("maker.cube")), File.ReadAllText(own));
    }

    private Task<ProgramRun> RunAsync(string command, string a, string b, params string[] options) =>
        BuiltProgram.RunInAsync(_folder.FullPath, [command, a, b, .. options, .. options.Contains("b.png") ? [] : _regions]);

    private void Draw(string name, Func<CodeRgb, CodeRgb> camera)
    {
        const int width = Columns * Tile, height = Rows * Tile;
        CodeRgb[] seen = [.. _tiles.Select(camera)];
        CodeRgb At(int i) => seen[(i / width / Tile * Columns) + (i % width / Tile)];
        float[] Plane(Func<CodeRgb, double> channel) => [.. Enumerable.Range(0, width * height).Select(i => (float)channel(At(i)))];
        PngFile.Write(_folder.PathOf(name), new Picture(width, height, Plane(c => c.R), Plane(c => c.G), Plane(c => c.B), SignalEncoding.Bt709));
    }

    // A little darker and warmer, in light.
    private static CodeRgb Warm(CodeRgb code)
    {
        SceneRgb light = SignalEncoding.Bt709.ToScene(code);
        return SignalEncoding.Bt709.FromScene(new SceneRgb(0.85 * light.R, 0.75 * light.G, 0.6 * light.B));
    }

    // A log curve of our own: black at 0.09, white at 0.75.
    private static CodeRgb Log(CodeRgb code)
    {
        static double Of(double x) => 0.09 + (0.165 * Math.Log2(1 + (15 * x)));
        return new CodeRgb(Of(code.R), Of(code.G), Of(code.B));
    }

    private static void Near(CodeRgb expected, CodeRgb actual, double tolerance) =>
        Assert.True(
            Math.Max(Math.Abs(expected.R - actual.R), Math.Max(Math.Abs(expected.G - actual.G), Math.Abs(expected.B - actual.B))) < tolerance,
            $"{actual} in place of {expected}");
}
