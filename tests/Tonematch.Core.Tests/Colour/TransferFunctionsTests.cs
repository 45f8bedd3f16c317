using System.Globalization;
using Tonematch.Colour;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour;

public class TransferFunctionsTests
{
    // The exact solution for BT.709's constants against the printed ones (1.099, 0.018): the largest difference is at
    // the knee, where the rounded curve itself has a step of this size.
    private const double Bt709RoundingOfTheStandard = 2.5e-4;

    // HLG's constant c by its definition, 0.5 - a ln(4a), against the printed 0.55991073: the same shift in code.
    private const double HlgRoundingOfTheStandard = 5e-10;

    // Rounding of a few operations in double.
    private const double Rounding = 1e-13;

    // Source: unit tests of colour-science/colour (BSD-3-Clause); [ST2084], [BT.2100], [IEC61966-2-1], [BT.1886].
    [Theory]
    [InlineData("srgb", 0.18, 0.461356129500442)]
    [InlineData("bt1886", 0.18, 0.016317514686316)]
    [InlineData("pq", 0, 7.30955903e-07)]
    [InlineData("pq", 0.01, 0.508078421517399)]
    [InlineData("pq", 0.04, 0.652578597563067)]
    [InlineData("pq", 0.07799883608340854, 0.724769816665726)]
    [InlineData("pq", 1, 1)]
    [InlineData("hlg", 0.015, 0.212132034355964)]
    public void Curve_PublishedValue_AgreesToAllDigits(string curve, double input, double expected)
    {
        double got = curve switch
        {
            "srgb" => TransferFunctions.SrgbFromLinear(input),
            "bt1886" => TransferFunctions.Bt1886ToDisplay(input),
            "pq" => TransferFunctions.PqFromLinear(input),
            "hlg" => TransferFunctions.HlgFromScene(input),
            _ => throw new ArgumentOutOfRangeException(nameof(curve)),
        };
        Assert.Equal(expected, got, 1e-14);
    }

    [Fact]
    public void Curves_SharedTable_AgreeToAllPrintedDigits()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/transfer-functions.csv"));
        Assert.Equal(27, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double input = double.Parse(row["input"], CultureInfo.InvariantCulture);
            double expected = double.Parse(row["expected"], CultureInfo.InvariantCulture);
            string function = row["function"];
            double printed = PrintedDigits.HalfUnit(row["expected"], Rounding * Math.Max(1, Math.Abs(expected)));
            if (function.StartsWith("BT.709", StringComparison.Ordinal)
                || function.StartsWith("BT.2020", StringComparison.Ordinal))
            {
                // The table is of the rounded constants: that formula, evaluated here, gives all its digits; the
                // curve in use keeps within the rounding of the standard.
                Assert.Equal(expected, RoundedBt709(input), printed);
                Assert.Equal(expected, TransferFunctions.Bt709FromScene(input), Bt709RoundingOfTheStandard);
                continue;
            }

            double got = function switch
            {
                "BT.1886 EOTF, Lw=1 Lb=0" => TransferFunctions.Bt1886ToDisplay(input),
                "sRGB inverse EOTF (IEC 61966-2-1)" => TransferFunctions.SrgbFromLinear(input),
                "PQ inverse EOTF (ST 2084, BT.2100)" => TransferFunctions.PqFromLinear(input / 10000),
                // The OOTF of PQ (table 4 of BT.2100): scene light through BT.709's camera curve with the rounded
                // constants, extended to 59.5208, then gamma 2.4. Not part of the project; what is checked with it
                // is the display light's way back through the PQ curve.
                "PQ OOTF (BT.2100)" => 10000 * TransferFunctions.PqToLinear(TransferFunctions.PqFromLinear(PqOotf(input) / 10000)),
                "HLG OETF (BT.2100)" => TransferFunctions.HlgFromScene(input) + (input > 1.0 / 12 ? HlgShift : 0),
                "HLG EOTF (BT.2100-2), Lw=1000 Lb=0 gamma 1.2, grey" =>
                    TransferFunctions.HlgToDisplay(CodeRgb.Grey(input)).G
                    * TransferFunctions.HdrReferenceWhite,
                "HLG OOTF (BT.2100-2), Lw=1000 gamma 1.2, grey" =>
                    TransferFunctions.HlgToDisplay(CodeRgb.Grey(TransferFunctions.HlgFromScene(input))).G
                    * TransferFunctions.HdrReferenceWhite,
                _ => throw new InvalidOperationException($"An unknown function: {function}."),
            };
            double allowed = function.StartsWith("PQ OOTF", StringComparison.Ordinal) ? 1e-8 : printed;
            Assert.Equal(expected, got, allowed);
        }
    }

    // [BT.2020] table 4 states the two equations that alpha and beta solve.
    [Fact]
    public void Bt709FromScene_HasTheConstantsThatSolveTheStandardsTwoEquations()
    {
        const double alpha = 1.09929682680944, beta = 0.018053968510807;
        Assert.Equal(4.5 * 0.999 * beta, TransferFunctions.Bt709FromScene(0.999 * beta), 1e-15);
        Assert.Equal((alpha * Math.Pow(0.5, 0.45)) - alpha + 1, TransferFunctions.Bt709FromScene(0.5), 1e-15);
        Assert.Equal(4.5 * beta, (alpha * Math.Pow(beta, 0.45)) - alpha + 1, 1e-14);
        Assert.Equal(4.5, 0.45 * alpha * Math.Pow(beta, -0.55), 2e-13);
        Assert.Equal(1.099, alpha, 5e-4); // as [BT.709] prints it
        Assert.Equal(0.018, beta, 5e-4);
        Assert.Equal(1.0993, alpha, 5e-5); // as [BT.2020] prints it for 12 bit
        Assert.Equal(0.0181, beta, 5e-5);
    }

    [Fact]
    public void Bt709FromScene_AgainstTheRoundedConstants_DiffersByAtMostAQuarterOfATenBitCode()
    {
        double largest = 0, largestInUpperHalf = 0;
        for (int i = 0; i <= 200_000; i++)
        {
            double light = i / 200_000.0, code = TransferFunctions.Bt709FromScene(light);
            double difference = Math.Abs(code - RoundedBt709(light));
            largest = Math.Max(largest, difference);
            largestInUpperHalf = Math.Max(largestInUpperHalf, code >= 0.5 ? difference : 0);
        }

        Assert.InRange(largest, 2.4e-4, Bt709RoundingOfTheStandard);
        Assert.True(largestInUpperHalf < 1.7e-4, $"{largestInUpperHalf}");
        Assert.Equal(1, TransferFunctions.Bt709FromScene(1), 1e-15);
    }

    // The largest light of PQ's published domain, then the tangent: no jump in value or slope, and finite beyond the
    // formula's pole at code 1.99.
    [Fact]
    public void PqToLinear_AboveOne_GoesOnSmoothlyAndStaysFinite()
    {
        const double h = 1e-6;
        double below = (TransferFunctions.PqToLinear(1) - TransferFunctions.PqToLinear(1 - h)) / h;
        double above = (TransferFunctions.PqToLinear(1 + h) - TransferFunctions.PqToLinear(1)) / h;
        Assert.Equal(1, TransferFunctions.PqToLinear(1), 1e-13);
        Assert.Equal(1, below / above, 1e-4);
        Assert.True(double.IsFinite(TransferFunctions.PqToLinear(5)));
        Assert.True(TransferFunctions.PqToLinear(2.1) > TransferFunctions.PqToLinear(1.9));
    }

    // [BT.2408] table 1: luminance on a 1000 cd/m2 display, PQ and HLG level in whole percent, FROM MEMORY.
    [Theory]
    [InlineData(26, 38, 38)]
    [InlineData(162, 56, 71)]
    [InlineData(179, 57, 73)]
    [InlineData(203, 58, 75)]
    public void HdrLineUpLevels_AreThoseOfTheReport(double luminance, double pqPercent, double hlgPercent)
    {
        double relative = luminance / TransferFunctions.HdrReferenceWhite;
        Assert.Equal(pqPercent, 100 * SignalEncoding.Pq.FromDisplay(new(relative, relative, relative)).G, 0.51);
        Assert.Equal(hlgPercent, 100 * SignalEncoding.Hlg.FromDisplay(new(relative, relative, relative)).G, 0.51);
    }

    // The computed columns of the shared table come from an independent script.
    [Fact]
    public void HdrLineUpLevels_SharedTable_AgreeToTwoDecimals()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/hdr-line-up-levels.csv"));
        Assert.Equal(4, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            double relative = N("cd_m2_at_1000_cd_m2_display") / TransferFunctions.HdrReferenceWhite;
            Assert.Equal(N("computed_PQ_percent"), 100 * SignalEncoding.Pq.FromDisplay(new(relative, relative, relative)).R, 0.00501);
            Assert.Equal(N("computed_HLG_percent"), 100 * SignalEncoding.Hlg.FromDisplay(new(relative, relative, relative)).R, 0.00501);
        }
    }

    // [BT.2100] table 5 defines c = 0.5 - a ln(4a), which makes the curve continuous; early editions print 0.55991073,
    // which the OETF rows of the shared table were computed with (the EOTF rows were not). The difference is this
    // shift of the code above the knee.
    private static double HlgShift => 0.55991073 - (0.5 - (0.17883277 * Math.Log(4 * 0.17883277)));

    [Fact]
    public void HlgFromScene_AtOne_DiffersFromThePrintedConstantsByLessThanABillionth()
    {
        Assert.Equal(0.999999995536569, TransferFunctions.HlgFromScene(1), HlgRoundingOfTheStandard);
        Assert.Equal(0.999999995536569, TransferFunctions.HlgFromScene(1) + HlgShift, 1e-14);
        Assert.Equal(0.5, TransferFunctions.HlgFromScene((1.0 / 12) + 1e-15), 1e-13);
    }

    private static double RoundedBt709(double light) =>
        light < 0.018 ? 4.5 * light : (1.099 * Math.Pow(light, 0.45)) - 0.099;

    private static double PqOotf(double light)
    {
        double e = 59.5208 * light;
        double signal = e < 0.018 ? 4.5 * e : (1.099 * Math.Pow(e, 0.45)) - 0.099;
        return 100 * Math.Pow(signal, 2.4);
    }
}
