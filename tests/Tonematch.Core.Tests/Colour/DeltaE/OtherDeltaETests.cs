using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour.DeltaE;

public class OtherDeltaETests
{
    // The ITP examples' inputs are printed with ten decimals: half a unit of each, times 720, is worth this much of the
    // result, more than the result's own last digit.
    private const double ItpInputDigits = 1e-7;

    private static readonly Lab s_standard = new(100, 21.57210357, 272.22819350);

    private static readonly Lab[] s_samples =
    [
        new(100, 426.67945353, 72.39590835),
        new(100, 74.05216981, 276.45318193),
        new(100, 8.32281957, -73.58297716),
    ];

    // Source of the expected values here: unit tests of colour-science/colour (BSD-3-Clause), all digits they print.
    [Fact]
    public void DeltaE94GraphicArts_PublishedExamples_AgreeToAllDigits() => AssertAll(
        DeltaE94.GraphicArts, [83.779225500887094, 10.053931954553839, 57.535453706667425], 1e-12);

    [Fact]
    public void DeltaE94Textiles_PublishedExamples_AgreeToAllDigits() => AssertAll(
        DeltaE94.Textiles, [88.335553057506502, 10.612657890048272, 60.368687261063329], 1e-12);

    [Fact]
    public void DeltaECmc_PublishedExamples_AgreeToAllDigits() => AssertAll(
        (a, b) => DeltaECmc.Between(a, b), [172.70477129, 20.59732717, 121.71841479], 5.01e-9);

    // Those examples have one lightness, so the tolerance of lightness is checked by its definition: with l = 2 a pure
    // difference of lightness counts half.
    [Fact]
    public void DeltaECmc_LightnessToleranceTwo_HalvesAPureDifferenceOfLightness()
    {
        Lab standard = new(60, 10, 20), lighter = new(65, 10, 20), more = new(60, 12, 24);
        Assert.Equal(
            DeltaECmc.Between(standard, lighter, 1) / 2, DeltaECmc.Between(standard, lighter), 1e-12);
        Assert.Equal(DeltaECmc.Between(standard, more, 1), DeltaECmc.Between(standard, more), 1e-12);
        Assert.Equal(DeltaECmc.Between(standard, more) / 3, DeltaECmc.Between(standard, more, 2, 3), 1e-12);
    }

    // [BT.2124] through colour-science/colour.
    [Theory]
    [InlineData(0.4885468072, -0.04739350675, 0.07475401302, 0.4899203231, -0.04567508203, 0.07361341775, 1.426572247)]
    [InlineData(0.5965650331, -0.2083210482, 0.3699729716, 0.596263079, -0.1629742033, 0.3617767026, 17.36012552)]
    [InlineData(0.7413041405, -0.3638807621, 0.04959414794, 0.7412815181, -0.3299076141, 0.04545287368, 12.5885645)]
    public void DeltaEItp_PublishedExamples_AgreeToWhatTheirInputsArePrintedTo(
        double i1, double t1, double p1, double i2, double t2, double p2, double expected) =>
        Assert.Equal(expected, DeltaEItp.Between(new ICtCp(i1, t1, p1), new ICtCp(i2, t2, p2)), ItpInputDigits);

    [Fact]
    public void EveryFormula_SharedExamples_AgreesToAllPrintedDigits()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/colour-difference-examples.csv"));
        Assert.Equal(21, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            (double a1, double a2, double a3) = (N("c1_1"), N("c2_1"), N("c3_1"));
            (double b1, double b2, double b3) = (N("c1_2"), N("c2_2"), N("c3_2"));
            string formula = row["formula"];
            double got = formula switch
            {
                _ when formula.StartsWith("CIE94 graphic", StringComparison.Ordinal) =>
                    DeltaE94.GraphicArts(new(a1, a2, a3), new(b1, b2, b3)),
                _ when formula.StartsWith("CIE94 textiles", StringComparison.Ordinal) =>
                    DeltaE94.Textiles(new(a1, a2, a3), new(b1, b2, b3)),
                "CMC l:c = 2:1" => DeltaECmc.Between(new(a1, a2, a3), new(b1, b2, b3), 2, 1),
                "CMC l:c = 1:1" => DeltaECmc.Between(new(a1, a2, a3), new(b1, b2, b3), 1, 1),
                "dE_ITP BT.2124" => DeltaEItp.Between(new(a1, a2, a3), new(b1, b2, b3)),
                _ => throw new InvalidOperationException($"An unknown formula: {formula}."),
            };
            Assert.Equal(
                N("expected"), got, formula == "dE_ITP BT.2124" ? ItpInputDigits : PrintedDigits.HalfUnit(row["expected"]));
        }
    }

    // From the definition ([CIE15]): the distance.
    [Fact]
    public void DeltaE76_KnownTriangle_IsTheDistance() =>
        Assert.Equal(7, DeltaE76.Between(new Lab(50, 10, -10), new Lab(52, 13, -4)), 1e-12);

    [Fact]
    public void DeltaE76Parts_QuarterTurnOfHue_IsTheChord()
    {
        DeltaEParts parts = DeltaE76.Parts(new Lab(50, 30, 0), new Lab(50, 0, 30));
        Assert.Equal(0, parts.Chroma, 1e-12);
        Assert.Equal(30 * Math.Sqrt(2), parts.Hue, 1e-12);
        Assert.Equal(-30 * Math.Sqrt(2), DeltaE76.Parts(new Lab(50, 0, 30), new Lab(50, 30, 0)).Hue, 1e-12);
    }

    private static void AssertAll(Func<Lab, Lab, double> formula, double[] expected, double tolerance)
    {
        for (int i = 0; i < expected.Length; i++)
        {
            Assert.Equal(expected[i], formula(s_standard, s_samples[i]), tolerance);
        }
    }
}
