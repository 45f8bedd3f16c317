using System.Globalization;
using Tonematch.Colour;
using Tonematch.Samples.Charts;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Samples.Charts;

public class ChartReferenceTests
{
    // Source: McCamy, Marcus and Davidson 1976, and the maker's tables; shared/testdata/reference-values/chart24.csv.
    [Fact]
    public void Chart24_EveryEdition_EqualsThePublishedTable()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows = CsvTable.Read(SharedData.Require("reference-values/chart24.csv"));
        Assert.Equal(24, rows.Count);
        for (int i = 0; i < 24; i++)
        {
            double N(string name) => double.Parse(rows[i][name], CultureInfo.InvariantCulture);
            Lab now = ChartReference.Find("chart24")!.LabOf(i), before = ChartReference.Find("chart24-before-2014")!.LabOf(i);
            Assert.Equal(N("L_D50_from2014"), now.L, 1e-9);
            Assert.Equal(N("a_D50_from2014"), now.A, 1e-9);
            Assert.Equal(N("b_D50_from2014"), now.B, 1e-9);
            Assert.Equal(N("b_D50_before2014"), before.B, 1e-9);
            ReferencePatch first = ChartReference.Find("chart24-1976")!.Patches[i];
            double sum = first.Colour.X + first.Colour.Y + first.Colour.Z;
            Assert.Equal(N("x_1976_C"), first.Colour.X / sum, 1e-9);
            Assert.Equal(N("Y_1976_C"), first.Colour.Y, 1e-9);
        }
    }

    // Source: Little CMS 2.14, transicc -i "*Lab4" -o "*sRGB" -t1 (Lab D50 to sRGB, Bradford inside the profile); its
    // white points have four digits, and its curves 16 bits.
    [Theory]
    [InlineData(0, 115.7073, 79.2908, 64.9925)]
    [InlineData(1, 197.2385, 143.6443, 126.6216)]
    [InlineData(14, 178.1835, 53.5909, 56.7266)]
    [InlineData(18, 241.0051, 241.6413, 235.4258)]
    public void CodeOf_Srgb_AgreesWithLittleCms(int patch, double r, double g, double b)
    {
        CodeRgb c = ChartReference.Chart24.CodeOf(patch, SignalEncoding.Srgb);
        Assert.Equal(r, c.R * 255, 0.2);
        Assert.Equal(g, c.G * 255, 0.2);
        Assert.Equal(b, c.B * 255, 0.2);
    }

    [Fact]
    public void All_EveryFileOfRefcharts_IsCarriedWithSourceIlluminantAndObserver()
    {
        string[] files = [.. Directory.GetFiles(RepositoryFolder.PathOf("refcharts"), "*.json").Select(f => Path.GetFileNameWithoutExtension(f)!).Order(StringComparer.Ordinal)];
        Assert.Equal(files, ChartReference.All.Select(c => c.Name).Order(StringComparer.Ordinal));
        foreach (ChartReference chart in ChartReference.All)
        {
            Assert.NotEqual("", chart.Source);
            Assert.NotEqual("", chart.Illuminant);
            Assert.NotEqual("", chart.Observer);
        }
    }

    [Theory]
    [InlineData("{", "not valid JSON")]
    [InlineData("{}", "not a chart")]
    [InlineData("""{"schema": "x"}""", "'schema'")]
    [InlineData("""{"schema": "tonematch-chart-1", "name": "a", "title": "a", "columns": 2, "rows": 1, "patch_share": 0.9, "white": {"name": "D50", "x": 0.3457, "y": 0.3585}, "observer": "", "source": "", "note": "", "patches": [{"name": "a", "lab": [50, 0, 0]}]}""", "1 patches, but 2 columns")]
    [InlineData("""{"schema": "tonematch-chart-1", "name": "a", "title": "a", "columns": 1, "rows": 1, "patch_share": 0.9, "white": {"name": "D50", "x": 0.3457, "y": 0.3585}, "observer": "", "source": "", "note": "", "patches": [{"name": "a", "lab": [50, 0]}]}""", "not a chart")]
    [InlineData("""{"schema": "tonematch-chart-1", "name": "a", "title": "a", "columns": 1, "rows": 1, "patch_share": 0.9, "white": {"name": "D50", "x": 0.3457, "y": 0.3585}, "observer": "", "source": "", "note": "", "patches": [{"name": "a", "lab": [500, 0, 0]}]}""", "not the colour of a surface")]
    public void Parse_EachFault_IsSaid(string json, string said)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => ChartReference.Parse(json, "my-chart.json"));
        Assert.Contains(said, e.Message, StringComparison.Ordinal);
    }
}
