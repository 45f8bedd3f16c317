using System.Globalization;
using System.Text.Json;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Cli.Tests;

public sealed class FitCommandTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // The expected slope, offset, power and saturation are the ones the pairs were made with (ASC CDL v1.2, by hand).
    [Fact]
    public async Task Fit_PairsMadeByAKnownCdl_HandsOverThatCdl()
    {
        double[] slope = [1.1, 0.95, 1.02], offset = [0.02, -0.01, 0.015], power = [1.1, 0.9, 1.05];
        const double saturation = 1.15;
        List<string> lines = ["id,group,primary_r,primary_g,primary_b,secondary_r,secondary_g,secondary_b"];
        Random random = new(3);
        for (int i = 0; i < 40; i++)
        {
            double[] s = [.. Enumerable.Range(0, 3).Select(_ => 0.15 + (0.6 * random.NextDouble()))];
            double[] v = [.. s.Select((x, c) => Math.Pow((x * slope[c]) + offset[c], power[c]))];
            double luma = (0.2126 * v[0]) + (0.7152 * v[1]) + (0.0722 * v[2]);
            double[] p = [.. v.Select(x => luma + (saturation * (x - luma)))];
            lines.Add(string.Create(CultureInfo.InvariantCulture, $"p{i},g{i},{p[0]:R},{p[1]:R},{p[2]:R},{s[0]:R},{s[1]:R},{s[2]:R}"));
        }

        File.WriteAllLines(_folder.PathOf("pairs.csv"), lines);
        ProgramRun run = (await BuiltProgram.RunInAsync(_folder.FullPath, "fit", "pairs.csv", "--out", "out", "--encoding", "bt709", "--model", "cdl", "--json")).Ended(0);
        JsonElement numbers = run.Json.GetProperty("models").GetProperty("cdl").GetProperty("numbers");
        string[] channels = ["r", "g", "b"];
        for (int c = 0; c < 3; c++)
        {
            Assert.Equal(slope[c], numbers.GetProperty($"slope.{channels[c]}").GetDouble(), 1e-5);
            Assert.Equal(offset[c], numbers.GetProperty($"offset.{channels[c]}").GetDouble(), 1e-5);
            Assert.Equal(power[c], numbers.GetProperty($"power.{channels[c]}").GetDouble(), 1e-5);
        }

        Assert.Equal(saturation, numbers.GetProperty("saturation").GetDouble(), 1e-5);
        Assert.Contains("<Saturation>1.1", File.ReadAllText(_folder.PathOf("out", "correction.cdl")), StringComparison.Ordinal);
        (double mean, double _) = Recomputed.After(_folder.PathOf("out", "pairs.csv"), _folder.PathOf("out", "correction.cube"));
        Assert.Equal(run.Json.GetProperty("after").GetProperty("mean").GetDouble(), mean, 2e-4);
    }
}
