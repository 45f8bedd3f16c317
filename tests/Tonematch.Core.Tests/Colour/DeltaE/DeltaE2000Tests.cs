using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Core.Tests.Published;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour.DeltaE;

public class DeltaE2000Tests
{
    // Half a unit of the fourth decimal: the table's last digit.
    private const double PublishedDigits = 5.01e-5;

    [Fact]
    public void Between_PublishedPairs_AgreesToFourDecimalsInBothOrders()
    {
        Assert.Equal(34, Ciede2000Pairs.All.Length);
        foreach ((Lab first, Lab second, double expected) in Ciede2000Pairs.All)
        {
            Assert.Equal(expected, DeltaE2000.Between(first, second), PublishedDigits);
            Assert.Equal(expected, DeltaE2000.Between(second, first), PublishedDigits);
        }
    }

    // The typed table against the one that scikit-image carries: a typing error would show.
    [Fact]
    public void PublishedPairs_AreThoseOfTheSharedTable()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/ciede2000-pairs.csv"));
        Assert.Equal(rows.Count, Ciede2000Pairs.All.Length);
        for (int i = 0; i < rows.Count; i++)
        {
            double N(string name) => double.Parse(rows[i][name], CultureInfo.InvariantCulture);
            Assert.Equal(
                (new Lab(N("L1"), N("a1"), N("b1")), new Lab(N("L2"), N("a2"), N("b2")), N("dE00")),
                Ciede2000Pairs.All[i]);
        }
    }

    [Fact]
    public void Parts_PublishedPairs_SquaresAddUpToTheWhole()
    {
        foreach ((Lab first, Lab second, double _) in Ciede2000Pairs.All)
        {
            Assert.Equal(DeltaE2000.Between(first, second), DeltaE2000.Parts(first, second).Total, 1e-12);
        }
    }

    [Fact]
    public void Parts_LighterDullerAndTurned_HaveTheSignsOfTheSecondColour()
    {
        Lab first = new Lch(50, 40, 60).ToLab();
        DeltaEParts lighter = DeltaE2000.Parts(first, new Lch(52, 40, 60).ToLab());
        DeltaEParts duller = DeltaE2000.Parts(first, new Lch(50, 37, 60).ToLab());
        DeltaEParts turned = DeltaE2000.Parts(first, new Lch(50, 40, 64).ToLab());
        Assert.True(lighter is { Lightness: > 1, Chroma: > -1e-9 and < 1e-9, Hue: > -1e-9 and < 1e-9 });
        Assert.True(duller is { Lightness: 0, Chroma: < -0.5, Hue: > -0.1 and < 0.1 });
        Assert.True(turned is { Lightness: 0, Hue: > 0.5, Chroma: > -0.1 and < 0.1 });
    }

    // The angles of the printed equations lose up to half their digits for close hues (1e-8 for colours 1e-8 apart), not
    // more than 1e-9 of a difference that can be seen.
    [Fact]
    public void Between_AimedAndOpposedPairs_IsTheFormulaAsPrinted()
    {
        Random random = new(13);
        List<(Lab First, Lab Second)> pairs = [.. AimedColours.LabPairs(50_000, seed: 14)];
        for (int i = 0; i < 20_000; i++)
        {
            // Exactly opposed hues, also along the axes and with a grey.
            double a = random.Next(4) == 0 ? 0 : random.Next(-128, 128), b = random.Next(4) == 0 ? 0 : random.Next(-128, 128);
            double factor = random.Next(4);
            pairs.Add((new Lab(100 * random.NextDouble(), a, b), new Lab(100 * random.NextDouble(), -a * factor, -b * factor)));
        }

        foreach ((Lab first, Lab second) in pairs)
        {
            double printed = Ciede2000AsPrinted.Between(first, second), ours = DeltaE2000.Between(first, second);
            Assert.True(Math.Abs(printed - ours) <= 1e-9 * Math.Max(1, printed), $"{first} {second}: {ours:R}, as printed {printed:R}");
        }
    }
}
