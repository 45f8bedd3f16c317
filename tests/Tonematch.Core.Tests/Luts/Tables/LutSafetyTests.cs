using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Luts.Tables;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Tables;

public class LutSafetyTests
{
    [Theory]
    [InlineData(2)]
    [InlineData(17)]
    [InlineData(33)]
    public void Inspect_Identity_HasGainOneAndNothingElse(int size)
    {
        LutSafetyReport report = LutSafety.Inspect(Lut3D.Identity(size));
        Assert.True(report.IsSafe);
        Assert.Equal(1, Value(report, "amplified noise"), 1e-5);
        Assert.All(report.Findings.Where(f => f.Name != "amplified noise"), f => Assert.Equal(0, f.Value, 1e-5));
    }

    [Fact]
    public void Inspect_WhiteBalanceAndExposure_IsSafe()
    {
        GainsCorrection gains = new(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.25, 1, 0.85);
        Lut3D lut = LutBaker.Bake(gains, 33);
        LutSafetyReport report = LutSafety.Inspect(lut, LutBaker.BakingError(gains, lut));
        Assert.True(report.IsSafe, string.Join('\n', report.Findings.Select(f => f.Sentence)));
        Assert.Equal(7, report.Findings.Length);
    }

    [Fact]
    public void Inspect_GreysThatFall_MeasuresTheFall()
    {
        // Red rises to 0.6 at grey 0.5, falls to 0.55 at 0.75, rises again.
        static double Red(double v) => v <= 0.5 ? 1.2 * v : v <= 0.75 ? 0.6 - (0.2 * (v - 0.5)) : 0.55 + (1.6 * (v - 0.75));
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(17, c => new CodeRgb(Red(c.R), c.G, c.B)));
        Assert.Equal(0.05, Value(report, "reversed greys"), 1e-6);
        Assert.False(report.IsSafe);
    }

    [Fact]
    public void Inspect_Matrix_GivesItsSpectralNorm()
    {
        // Rotation by any angle has gain 1; scaled by 1.5 along one axis: 1.5. Small values so that nothing clips.
        static CodeRgb Turn(CodeRgb c)
        {
            double x = 1.5 * (c.R - 0.5), y = c.G - 0.5, s = Math.Sin(0.3), k = Math.Cos(0.3);
            return new CodeRgb(0.5 + (0.3 * ((k * x) - (s * y))), 0.5 + (0.3 * ((s * x) + (k * y))), 0.5 + (0.3 * (c.B - 0.5)));
        }

        Assert.Equal(0.45, Value(LutSafety.Inspect(Lut3D.FromFunction(9, Turn)), "amplified noise"), 1e-5);
    }

    [Fact]
    public void Inspect_SteepStep_ExceedsTheGainLimit()
    {
        static double Step(double v) => Math.Clamp(0.5 + (8 * (v - 0.5)), 0.05, 0.95);
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(33, c => new CodeRgb(Step(c.R), c.G, c.B)));
        Assert.Equal(8, Value(report, "amplified noise"), 0.01);
        Assert.False(report.IsSafe);
        Assert.True(Value(report, "edges in smooth shades") > 4);
    }

    [Fact]
    public void Inspect_Kink_MeasuresTheChangeOfSlope()
    {
        // Slope 0.4 below the middle, 1.4 above it: a change of 1.
        static double Kink(double v) => 0.05 + (v < 0.5 ? 0.4 * v : 0.2 + (1.4 * (v - 0.5)));
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(17, c => new CodeRgb(c.R, Kink(c.G), c.B)));
        Assert.Equal(1, Value(report, "edges in smooth shades"), 1e-4);
    }

    // sqrt on 33 nodes: slopes sqrt(32) and (sqrt(2) - 1) sqrt(32) in the first two cells. Black lies on 0 and counts.
    [Fact]
    public void Inspect_CurveThatIsSteepAtBlack_IsSeenThere()
    {
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(33, c => new CodeRgb(c.R, c.G, Math.Sqrt(c.B))));
        Assert.Equal((2 - Math.Sqrt(2)) * Math.Sqrt(32), Value(report, "edges in smooth shades"), 1e-5);
    }

    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void Inspect_ClippingInside_IsNoChangeOfSlope(bool limited)
    {
        Lut3D lut = Lut3D.FromFunction(33, c => new CodeRgb(c.R, (3 * c.G) - 1, c.B));
        LutSafetyReport report = LutSafety.Inspect(limited ? LutBaker.LimitToUnitRange(lut).Lut : lut);
        // The cell in which the limit is crossed keeps part of the slope.
        Assert.InRange(Value(report, "edges in smooth shades"), 0, limited ? 3 : 1e-5);
        Assert.Equal(0, Value(report, "colours that swap places"));
    }

    [Fact]
    public void Inspect_OneChannelDoubled_ClipsHalf()
    {
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(33, c => new CodeRgb(2 * c.R, c.G, c.B)));
        Assert.Equal(0.5, Value(report, "colours at the limit"), 1e-6);
    }

    [Fact]
    public void Inspect_LimitedTable_CountsTheSameClipping()
    {
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(33, c => new CodeRgb(Math.Min(1, 2 * c.R), c.G, c.B)));
        Assert.Equal(0.5, Value(report, "colours at the limit"), 1e-6);
    }

    [Fact]
    public void Inspect_AxisTurnedBack_MeasuresTheFoldedShare()
    {
        // Blue runs back over the upper quarter of red: a quarter of the cells are mirrored.
        static CodeRgb Fold(CodeRgb c) => new(0.1 + (0.8 * (c.R <= 0.75 ? c.R : 1.5 - c.R)), 0.1 + (0.8 * c.G), 0.1 + (0.8 * c.B));
        LutSafetyReport report = LutSafety.Inspect(Lut3D.FromFunction(17, Fold));
        Assert.Equal(0.25, Value(report, "colours that swap places"), 1e-9);
        Assert.False(report.IsSafe);
    }

    [Fact]
    public void Inspect_CoarseTableOfAStrongCurve_IsNotSafe()
    {
        FunctionCorrection curve = new(c => new CodeRgb(Math.Pow(c.R, 0.6), Math.Pow(c.G, 0.6), Math.Pow(c.B, 0.6)));
        Lut3D lut = LutBaker.Bake(curve, 5);
        LutSafetyReport report = LutSafety.Inspect(lut, LutBaker.BakingError(curve, lut));
        Assert.Contains(report.Findings, f => f.Name == "LUT against the exact correction, at worst" && !f.IsWithin && f.Sentence.Contains("finer table", StringComparison.Ordinal));
    }

    private static double Value(LutSafetyReport report, string name) => report.Findings.Single(f => f.Name == name).Value;
}
