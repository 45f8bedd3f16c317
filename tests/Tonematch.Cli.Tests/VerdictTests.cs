using System.Globalization;
using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

/// <summary>One verdict: in the exit code, in what is written, and in the same words on the terminal, in match.json and in the report.</summary>
public sealed class VerdictTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Fact]
    public async Task Match_PicturesWithNothingInCommon_EndsWith4AndWritesTheReportOnly()
    {
        string a = Drawn("a.png", "mandelbrot=s=320x240:start_scale=2"), b = Drawn("b.png", "testsrc=s=320x240");
        ProgramRun run = (await BuiltProgram.RunAsync("match", a, b, "--out", _folder.PathOf("out"))).Ended(4).Says("Do not use it", "--even-so");
        run.Prints("Do not use it, because nothing was found that both cameras saw.");
        Assert.Equal(["match.json", "report.html"], Directory.GetFiles(_folder.PathOf("out")).Select(f => Path.GetFileName(f)).Order(StringComparer.Ordinal));
        JsonElement match = JsonDocument.Parse(await File.ReadAllTextAsync(_folder.PathOf("out", "match.json"), TestContext.Current.CancellationToken)).RootElement;
        Assert.Equal("do-not-use", match.GetProperty("verdict").GetString());
        Assert.Equal("nothing-in-common", match.GetProperty("verdict_reasons")[0].GetProperty("cause").GetString());
        string page = await File.ReadAllTextAsync(_folder.PathOf("out", "report.html"), TestContext.Current.CancellationToken);
        Assert.Contains("<h1>Do not use it, because nothing was found that both cameras saw.</h1>", page, StringComparison.Ordinal);
        Assert.Contains("No correction was written", page, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Fit_PairsOfOtherThings_EndsWith4AndIsWrittenOnlyEvenSo_AndPairsOfOneCameraStyleWith0()
    {
        string[] unrelated = [.. Pairs(60, (_, random) => [random.NextDouble(), random.NextDouble(), random.NextDouble()])];
        await File.WriteAllLinesAsync(_folder.PathOf("unrelated.csv"), unrelated, TestContext.Current.CancellationToken);
        ProgramRun run = (await BuiltProgram.RunAsync("fit", _folder.PathOf("unrelated.csv"), "--out", _folder.PathOf("no"), "--encoding", "bt709", "--json")).Ended(4);
        Assert.Equal("do-not-use", run.Json.GetProperty("verdict").GetString());
        Assert.False(File.Exists(_folder.PathOf("no", "correction.cube")));
        (await BuiltProgram.RunAsync("fit", _folder.PathOf("unrelated.csv"), "--out", _folder.PathOf("even"), "--encoding", "bt709", "--even-so")).Ended(4).Says("written even so");
        Assert.True(File.Exists(_folder.PathOf("even", "correction.cube")));
        Assert.DoesNotContain("No correction was written", await File.ReadAllTextAsync(_folder.PathOf("even", "report.html"), TestContext.Current.CancellationToken), StringComparison.Ordinal);

        string[] style = [.. Pairs(60, (p, _) => [.. p.Select(v => 0.8 * v)])];
        await File.WriteAllLinesAsync(_folder.PathOf("style.csv"), style, TestContext.Current.CancellationToken);
        run = (await BuiltProgram.RunAsync("fit", _folder.PathOf("style.csv"), "--out", _folder.PathOf("yes"), "--encoding", "bt709", "--json")).Ended(0);
        Assert.Equal("use", run.Json.GetProperty("verdict").GetString());
        Assert.Equal("unseen-colours", run.Json.GetProperty("verdict_figure").GetProperty("of").GetString());
        string headline = string.Create(CultureInfo.InvariantCulture, $"Use it: Delta\u00a0E {run.Json.GetProperty("verdict_figure").GetProperty("mean").GetDouble():0.0} on colours");
        Assert.Contains(headline, await File.ReadAllTextAsync(_folder.PathOf("yes", "report.html"), TestContext.Current.CancellationToken), StringComparison.Ordinal);
    }

    private static IEnumerable<string> Pairs(int count, Func<double[], Random, double[]> secondary)
    {
        Random random = new(8);
        yield return "id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b";
        for (int i = 0; i < count; i++)
        {
            double[] p = [random.NextDouble(), random.NextDouble(), random.NextDouble()], s = secondary(p, random);
            yield return string.Create(CultureInfo.InvariantCulture, $"p{i},g{i},{p[0]:F5},{p[1]:F5},{p[2]:F5},{s[0]:F5},{s[1]:F5},{s[2]:F5}");
        }
    }

    private string Drawn(string name, string source)
    {
        string path = _folder.PathOf(name);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-y", "-f", "lavfi", "-i", source, "-frames:v", "1", "file:" + path]);
        return path;
    }
}
