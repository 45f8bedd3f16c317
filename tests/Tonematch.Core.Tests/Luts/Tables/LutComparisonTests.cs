using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Luts.Tables;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Tables;

public class LutComparisonTests
{
    [Fact]
    public void Compare_WithItself_IsZero()
    {
        Lut3D lut = MadeTables.Random(9, 4);
        LutDifference d = LutComparison.Compare(lut, lut, SignalEncoding.Srgb);
        Assert.Equal((0.0, 0.0, 0.0), (d.MaxCode, d.MeanCode, d.DeltaE.Max));
    }

    [Fact]
    public void Compare_ConstantShiftOfOneChannel_FindsItsSizeInCodes()
    {
        Lut3D a = Lut3D.Identity(9), b = Lut3D.FromFunction(9, c => new CodeRgb(c.R, c.G - 0.125, c.B));
        LutDifference d = LutComparison.Compare(a, b, SignalEncoding.Bt709);
        Assert.Equal(0.125, d.MaxCode, 1e-7);
        Assert.Equal(0.125 / 3, d.MeanCode, 1e-7);
    }

    // A picture of all colours shows a few; what lies between them may be further apart.
    [Fact]
    public void Cost_OfAFormThatIsNotExact_SaysThatItsLargestIsOfTheColoursTried()
    {
        Lut3D a = Lut3D.Identity(9), b = Lut3D.FromFunction(9, c => new CodeRgb(c.R, c.G - 0.125, c.B));
        LutDifference d = LutComparison.Compare(a, b, SignalEncoding.Bt709);
        Assert.Equal(
            string.Create(System.Globalization.CultureInfo.InvariantCulture, $"As a Hald picture this correction costs {d.DeltaE.Mean:0.0#} Delta E on average and {d.DeltaE.Max:0.0#} at most, of the colours tried: visible."),
            d.Cost("As a Hald picture"));
        Assert.StartsWith("As a Hald picture this correction is exact", LutComparison.Compare(a, a, SignalEncoding.Bt709).Cost("As a Hald picture"), StringComparison.Ordinal);
    }

    [Fact]
    public void Compare_OneNodeChanged_IsFoundThoughAllElseIsEqual()
    {
        Lut3D a = Lut3D.Identity(5);
        float[] nodes = a.Nodes.ToArray();
        nodes[3 * (2 + (5 * (3 + (5 * 1))))] += 0.2f;
        LutDifference d = LutComparison.Compare(a, new Lut3D(5, nodes), SignalEncoding.Bt709);
        Assert.InRange(d.MaxCode, 0.05, 0.2001);
    }

    [Fact]
    public void Compare_TableAgainstItsFinerCopy_FindsOnlyTheBakingError()
    {
        static CodeRgb Curve(CodeRgb c) => new(Math.Sqrt(c.R), Math.Sqrt(c.G), Math.Sqrt(c.B));
        LutDifference d = LutComparison.Compare(Lut3D.FromFunction(9, Curve), Lut3D.FromFunction(65, Curve), SignalEncoding.Bt709);
        // sqrt is worst in the first cell: a chord over h = 1/8 is below the curve by sqrt(h)/4 at h/4.
        Assert.InRange(d.MaxCode, 0.07, Math.Sqrt(1 / 8.0) / 4);
    }

    [Fact]
    public void Compare_OneColour_GivesItsCiede2000()
    {
        CodeRgb at = new(0.5, 0.4, 0.3), shifted = new(0.5, 0.45, 0.3);
        LutDifference d = LutComparison.Compare([at], c => c, _ => shifted, SignalEncoding.Srgb);
        double expected = DeltaE2000.Between(SignalEncoding.Srgb.ToLab(at), SignalEncoding.Srgb.ToLab(shifted));
        Assert.Equal((expected, expected, at), (d.DeltaE.Mean, d.DeltaE.Max, d.WorstInput));
    }

    [Fact]
    public void Compare_DomainsApart_IsRefused()
    {
        Lut3D a = Lut3D.Identity(2), b = new(2, a.Nodes.ToArray(), CodeRgb.Grey(2), CodeRgb.Grey(3));
        Assert.Throws<ArgumentException>(() => LutComparison.Compare(a, b, SignalEncoding.Srgb));
    }
}
