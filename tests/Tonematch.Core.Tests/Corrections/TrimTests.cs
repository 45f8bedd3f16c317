using CsCheck;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Formats;
using Xunit;

namespace Tonematch.Core.Tests.Corrections;

public class TrimTests
{
    private static readonly GainsCorrection s_match = new(SignalEncoding.Bt709, SignalEncoding.Bt709, 1.3, 1, 0.8);

    private static readonly Gen<CodeRgb> s_codes = Gen.Select(Gen.Double[0, 1], Gen.Double[0, 1], Gen.Double[0, 1], (r, g, b) => new CodeRgb(r, g, b));

    private static readonly Gen<Trim> s_trims = Gen.Select(Gen.Double[0, 1], Gen.Double[-3, 3], Gen.Double[-60, 60], Gen.Double[-0.03, 0.03], Gen.Double[-60, 60], Gen.Double[-100, 100], Gen.Double[-10, 10], Gen.Double[0, 1])
        .Select(n => Trim.Of(Trim.Limits.Zip((double[])[n.Item1, n.Item2, n.Item3, n.Item4, n.Item5, n.Item6, n.Item7, n.Item8], (l, v) => (l.Name, v))));

    [Fact]
    public void None_ChangesNoColour() => s_codes.Sample(c => new TrimmedCorrection(s_match, Trim.None).Apply(c) == s_match.Apply(c));

    [Fact]
    public void Strength_ZeroAndHalf_AreAsRecordedAndHalfWay() => s_codes.Sample(c =>
    {
        CodeRgb none = Trimmed(new Trim { Strength = 0 }, c), half = Trimmed(new Trim { Strength = 0.5 }, c), whole = s_match.Apply(c);
        return Near(none, c, 1e-12) && Near(half, new((c.R + whole.R) / 2, (c.G + whole.G) / 2, (c.B + whole.B) / 2), 1e-12);
    });

    [Fact]
    public void Exposure_OneStop_DoublesTheLight()
    {
        CodeRgb c = new(0.3, 0.4, 0.2), brighter = Trimmed(new Trim { ExposureStops = 1 }, c);
        SceneRgb before = SignalEncoding.Bt709.ToScene(s_match.Apply(c)), after = SignalEncoding.Bt709.ToScene(brighter);
        Assert.Equal((2 * before.R, 2 * before.G, 2 * before.B), (Math.Round(after.R, 12), Math.Round(after.G, 12), Math.Round(after.B, 12)), Close);

        static bool Close((double, double, double) a, (double, double, double) b) => Math.Abs(a.Item1 - b.Item1) + Math.Abs(a.Item2 - b.Item2) + Math.Abs(a.Item3 - b.Item3) < 1e-9;
    }

    [Fact]
    public void Warmth_OfAGrey_MovesItsWhiteByThatManyMiredAndKeepsItsLight()
    {
        IdentityCorrection identity = new(SignalEncoding.Bt709, SignalEncoding.Bt709);
        CodeRgb warmer = new TrimmedCorrection(identity, new Trim { WarmthMired = 20 }).Apply(CodeRgb.Grey(0.5));
        SceneRgb light = SignalEncoding.Bt709.ToScene(warmer);
        (double x, double y, double z) = SignalEncoding.Bt709.RgbToXyz.Times(light.R, light.G, light.B);
        Assert.Equal(20, NearestMired(x / (x + y + z), y / (x + y + z)) - NearestMired(0.3127, 0.3290), 1.0);
        Assert.Equal(SignalEncoding.Bt709.ToScene(0.5), y, 1e-3);
        CodeRgb greener = new TrimmedCorrection(identity, new Trim { GreenDuv = 0.01 }).Apply(CodeRgb.Grey(0.5));
        Assert.True(greener.G > greener.R && greener.G > greener.B);
    }

    [Fact]
    public void Contrast_BlackMiddleAndWhite_StayWhereTheyAre()
    {
        IdentityCorrection identity = new(SignalEncoding.Bt709, SignalEncoding.Bt709);
        double pivot = SignalEncoding.Bt709.FromScene(0.18);
        TrimmedCorrection steeper = new(identity, new Trim { ContrastPercent = 40 });
        Assert.All((double[])[0, pivot, 1], v => Assert.Equal(v, steeper.Apply(CodeRgb.Grey(v)).G, 1e-9));
        Assert.Equal(1.4, (steeper.Apply(CodeRgb.Grey(pivot + 1e-5)).G - steeper.Apply(CodeRgb.Grey(pivot - 1e-5)).G) / 2e-5, 1e-3);
    }

    [Fact]
    public void Contrast_AtItsLeast_AmplifiesNothingByMoreThanTwoAndAHalf()
    {
        TrimmedCorrection flatter = new(new IdentityCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709), new Trim { ContrastPercent = -60 });
        double[] slopes = [.. Enumerable.Range(0, 1000).Select(i => 1000 * (flatter.Apply(CodeRgb.Grey((i + 1) / 1000.0)).G - flatter.Apply(CodeRgb.Grey(i / 1000.0)).G))];
        Assert.InRange(slopes.Max(), 2.4, 2.5);
        Assert.InRange(slopes.Min(), 0.39, 0.41);
    }

    [Fact]
    public void Saturation_TakenAway_LeavesGreyOfTheSameLuma() => s_codes.Sample(c =>
    {
        CodeRgb grey = new TrimmedCorrection(new IdentityCorrection(SignalEncoding.Bt709, SignalEncoding.Bt709), new Trim { SaturationPercent = -100 }).Apply(c);

        // BT.709 item 3.2.
        double luma = (0.2126 * c.R) + (0.7152 * c.G) + (0.0722 * c.B);
        return Near(grey, CodeRgb.Grey(luma), 1e-3);
    });

    [Fact]
    public void SkinKept_Whole_LeavesSkinAsTheMatchMadeItAndOtherColoursNot()
    {
        IdentityCorrection identity = new(SignalEncoding.Bt709, SignalEncoding.Bt709);
        TrimmedCorrection kept = new(identity, new Trim { ExposureStops = 0.5, SkinKept = 1 });
        CodeRgb skin = SignalEncoding.Bt709.FromLab(new Lab(65, 16, 17)), blue = SignalEncoding.Bt709.FromLab(new Lab(45, 5, -40));
        Assert.True(Near(skin, kept.Apply(skin), 1e-9));
        Assert.True(kept.Apply(blue).B > blue.B + 0.05);
    }

    [Fact]
    public void Any_OfAnyColour_IsFiniteAndSmooth() => Gen.Select(s_trims, s_codes).Sample((trim, c) =>
    {
        TrimmedCorrection t = new(s_match, trim);
        CodeRgb here = t.Apply(c), beside = t.Apply(new(c.R + 1e-7, c.G, c.B));
        return here.IsFinite && t.Apply(new(-5, 9, 3)).IsFinite && Near(here, beside, 1e-3);
    });

    [Fact]
    public void Any_WrittenAndRead_IsTheSame() => s_trims.Sample(trim =>
    {
        using StringWriter text = new();
        TrimJson.Write(text, trim);
        return TrimJson.Read(text.ToString(), "t.json") == trim;
    });

    [Theory]
    [InlineData("{\"schema\":\"tonematch-trim-1\",\"glow\":1}", "no 'glow'")]
    [InlineData("{\"schema\":\"tonematch-trim-1\",\"strength\":2}", "strength must be from 0 to 1")]
    [InlineData("{\"schema\":\"tonematch-trim-1\",\"strength\":1,\"strength\":1}", "given twice")]
    [InlineData("{\"schema\":\"tonematch-trim-1\",\"strength\":\"1\"}", "not a number")]
    [InlineData("{\"strength\":1}", "schema")]
    [InlineData("{", "not well-formed")]
    public void Json_ThatIsNoTrim_IsRefusedWithTheReason(string text, string reason) =>
        Assert.Contains(reason, Assert.Throws<UnusableInputException>(() => TrimJson.Read(text, "t.json")).Message, StringComparison.Ordinal);

    [Fact]
    public void Words_NameOnlyWhatIsChanged() =>
        Assert.Equal("80 % of the match, exposure +0.30 stop, 5 mired cooler, contrast 0 %", new Trim { Strength = 0.8, ExposureStops = 0.3, WarmthMired = -5, ContrastPercent = -0.2 }.ToString());

    // The point of the locus nearest in CIE 1960 (u, v), by trying every tenth of a mired.
    private static double NearestMired(double x, double y)
    {
        double d = (-2 * x) + (12 * y) + 3, u = 4 * x / d, v = 6 * y / d;
        return Enumerable.Range(700, 5000).Select(i => i / 10.0).MinBy(m =>
        {
            (double lu, double lv) = PlanckianLocus.At(m);
            return ((lu - u) * (lu - u)) + ((lv - v) * (lv - v));
        });
    }

    private static CodeRgb Trimmed(Trim trim, CodeRgb c) => new TrimmedCorrection(s_match, trim).Apply(c);

    private static bool Near(CodeRgb a, CodeRgb b, double tolerance) =>
        Math.Abs(a.R - b.R) < tolerance && Math.Abs(a.G - b.G) < tolerance && Math.Abs(a.B - b.B) < tolerance;
}
