using CsCheck;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Xunit;

namespace Tonematch.Core.Tests.Colour;

public class ColourPropertiesTests
{
    private static readonly Gen<SignalEncoding> s_encoding = Gen.OneOf([.. SignalEncoding.All]);

    private static readonly Gen<Matrix3> s_matrix = Gen.Select(
        Gen.Double[0.3, 2], Gen.Double[0.3, 2], Gen.Double[0.3, 2], Gen.Double[-0.14, 0.14].Array[6],
        (a, b, c, o) => new Matrix3(a, o[0], o[1], o[2], b, o[3], o[4], o[5], c));

    // PQ gives code 7.3e-7 for no light and none for codes below it, so that codes between -7.3e-7 and 7.3e-7 come back as
    // one end or the other ([ST2084]).
    private static double CodeTolerance(SignalEncoding encoding) => encoding == SignalEncoding.Pq ? 1.5e-6 : 1e-11;

    // The constants that the sRGB standard prints leave a step of 2.3e-9 in light at its knee, and a colour exactly there
    // may come back from the other side; the toe of CIELAB makes 500 x 7.8 times that of it.
    private static double LabTolerance(SignalEncoding encoding) =>
        encoding == SignalEncoding.Srgb || encoding == SignalEncoding.DisplayP3 ? 1e-5 : 1e-7;

    [Fact]
    public void FromScene_OfToScene_IsTheCodeForEveryEncodingBelowZeroAndAboveOne() =>
        Gen.Select(s_encoding, AimedColours.CodeRgb).Sample((encoding, code) =>
            AssertNear(code, encoding.FromScene(encoding.ToScene(code)), CodeTolerance(encoding)));

    [Fact]
    public void ToScene_OfFromScene_IsTheLight() =>
        Gen.Select(s_encoding, Gen.Double[-0.2, 1.5]).Sample((encoding, light) =>
            Assert.Equal(light, encoding.ToScene(encoding.FromScene(light)), 1e-11));

    [Fact]
    public void FromLab_OfToLab_IsTheCodeForEveryEncodingBelowZeroAndAboveOne() =>
        Gen.Select(s_encoding, AimedColours.CodeRgb).Sample((encoding, code) =>
        {
            CodeRgb back = encoding.FromLab(encoding.ToLab(code));

            // Near black a code value is worth almost no light (0.01^2.4): what returns is judged by what is seen.
            Assert.Equal(0, DeltaE76.Between(encoding.ToLab(code), encoding.ToLab(back)), LabTolerance(encoding) * Scale(encoding.ToLab(code)));
            if (Math.Min(Math.Abs(code.R), Math.Min(Math.Abs(code.G), Math.Abs(code.B))) > 0.05 && encoding != SignalEncoding.Hlg)
            {
                AssertNear(code, back, 1e-8);
            }
        });

    // HLG's gain goes by the luminance of all three channels; with positive light it can be undone exactly.
    [Fact]
    public void FromLab_OfToLab_HlgWithinItsDisplay_IsTheCode() =>
        Gen.Double[0.02, 1.2].Array[3].Sample(c =>
            AssertNear(new(c[0], c[1], c[2]), SignalEncoding.Hlg.FromLab(SignalEncoding.Hlg.ToLab(new(c[0], c[1], c[2]))), 1e-9));

    [Fact]
    public void ToScene_RisesWithTheCode() =>
        Gen.Select(s_encoding, Gen.Double[-1, 3], Gen.Double[1e-6, 0.1]).Sample((encoding, code, step) =>
            Assert.True(
                encoding.ToScene(code + step) > encoding.ToScene(code)
                || (encoding == SignalEncoding.Pq && Math.Abs(code) < 0.11)));

    [Fact]
    public void ToLab_EqualCodesInSdr_AreNeutral() =>
        Gen.Select(s_encoding, Gen.Double[0, 1.2]).Sample((encoding, grey) =>
            Assert.True(encoding.ToLab(CodeRgb.Grey(grey)).Chroma < 1e-10 * Scale(encoding.ToLab(CodeRgb.Grey(grey)))));

    [Theory]
    [InlineData("bt709")]
    [InlineData("srgb")]
    [InlineData("display-p3")]
    [InlineData("bt2020")]
    [InlineData("hlg")]
    [InlineData("pq")]
    [InlineData("acescct")]
    public void Encoding_NaNInOneChannel_GivesNaNThereAndInAllOfLab(string name)
    {
        Assert.True(SignalEncoding.TryParse(name, out SignalEncoding? encoding));
        for (int channel = 0; channel < 3; channel++)
        {
            double[] c = [0.2, 0.5, 0.7];
            c[channel] = double.NaN;
            CodeRgb code = new(c[0], c[1], c[2]);
            SceneRgb scene = encoding.ToScene(code);
            CodeRgb back = encoding.FromScene(scene);
            Assert.Equal(channel == 0, double.IsNaN(scene.R));
            Assert.Equal(channel == 1, double.IsNaN(scene.G));
            Assert.Equal(channel == 2, double.IsNaN(scene.B));
            Assert.Equal(channel == 0, double.IsNaN(back.R));
            Lab lab = encoding.ToLab(code);
            Assert.True(double.IsNaN(lab.L) && double.IsNaN(lab.A) && double.IsNaN(lab.B));
            CodeRgb fromLab = encoding.FromLab(lab);
            Assert.True(double.IsNaN(fromLab.R) && double.IsNaN(fromLab.G) && double.IsNaN(fromLab.B));
        }
    }

    [Fact]
    public void ToLab_EveryFiniteCodeUpToTen_IsFinite() =>
        Gen.Select(s_encoding, Gen.Double[-10, 10].Array[3]).Sample((encoding, c) =>
        {
            Lab lab = encoding.ToLab(new(c[0], c[1], c[2]));
            CodeRgb back = encoding.FromLab(lab);
            Assert.True(double.IsFinite(lab.L + lab.A + lab.B) && back.IsFinite);
        });

    // The encodings convert three channels at once; the published curves stand one by one in TransferFunctions.
    [Fact]
    public void ToDisplayAndLab_ThreeChannelsAtOnce_AreThePublishedCurvesOneByOne() =>
        Gen.Select(AimedColours.CodeRgb, Gen.OneOf(1.0, 1e-6, 1e-12, 1e4, 1e25)).Sample((code, scale) =>
        {
            CodeRgb c = new(code.R * scale, code.G * scale, code.B * scale);
            DisplayRgb video = SignalEncoding.Bt709.ToDisplay(c), srgb = SignalEncoding.Srgb.ToDisplay(c);
            foreach ((double one, double v, double s) in new[]
            {
                (c.R, video.R, srgb.R), (c.G, video.G, srgb.G), (c.B, video.B, srgb.B),
            })
            {
                double exactVideo = TransferFunctions.Bt1886ToDisplay(one), exactSrgb = TransferFunctions.SrgbToLinear(one);
                Assert.Equal(exactVideo, v, (1e-14 * Math.Abs(exactVideo)) + 1e-60);
                Assert.Equal(exactSrgb, s, (1e-14 * Math.Abs(exactSrgb)) + 1e-60);
            }

            Lab lab = Lab.FromXyz(new Xyz(c.R, c.G, c.B), new Xyz(1, 1, 1));
            double F(double t) => t > 216.0 / 24389 ? Math.Cbrt(t) : (t * (841.0 / 108)) + (4.0 / 29);
            double size = 1000 * (Math.Abs(F(c.R)) + Math.Abs(F(c.G)) + Math.Abs(F(c.B)));
            Assert.Equal((116 * F(c.G)) - 16, lab.L, 1e-15 * size);
            Assert.Equal(500 * (F(c.R) - F(c.G)), lab.A, 1e-15 * size);
            Assert.Equal(200 * (F(c.G) - F(c.B)), lab.B, 1e-15 * size);
        });

    [Fact]
    public void DeltaE_OfAColourWithItself_IsZeroAndOtherwiseAboveZero() =>
        AimedColours.LabPair.Sample(pair =>
        {
            (Lab first, Lab second) = pair;
            Func<Lab, Lab, double>[] formulas =
                [DeltaE2000.Between, DeltaE76.Between, DeltaE94.GraphicArts, DeltaE94.Textiles, (a, b) => DeltaECmc.Between(a, b)];
            foreach (Func<Lab, Lab, double> f in formulas)
            {
                Assert.Equal(0, f(first, first));
                Assert.True(first == second || f(first, second) > 0);
            }
        });

    [Fact]
    public void DeltaE_TheSymmetricOnes_AreTheSameInBothOrders() =>
        AimedColours.LabPair.Sample(pair =>
        {
            Assert.Equal(DeltaE2000.Between(pair.First, pair.Second), DeltaE2000.Between(pair.Second, pair.First));
            Assert.Equal(DeltaE76.Between(pair.First, pair.Second), DeltaE76.Between(pair.Second, pair.First));
        });

    [Fact]
    public void DeltaE_NaNInAnyChannel_IsNaN()
    {
        Lab sound = new(50, 20, -30);
        foreach (Lab broken in new Lab[] { new(double.NaN, 20, 10), new(50, double.NaN, 10), new(50, 20, double.NaN), new(50, 0, double.NaN) })
        {
            Assert.True(double.IsNaN(DeltaE2000.Between(sound, broken)) && double.IsNaN(DeltaE2000.Between(broken, sound)));
            Assert.True(double.IsNaN(DeltaE76.Between(sound, broken)) && double.IsNaN(DeltaE76.Between(broken, sound)));
            Assert.True(double.IsNaN(DeltaE94.GraphicArts(sound, broken)) && double.IsNaN(DeltaE94.Textiles(broken, sound)));
            Assert.True(double.IsNaN(DeltaECmc.Between(sound, broken)) && double.IsNaN(DeltaECmc.Between(broken, sound)));
            Assert.True(double.IsNaN(DeltaE2000.Between(new Lab(50, 0, 0), broken)));
        }

        Assert.True(double.IsNaN(DeltaEItp.Between(new ICtCp(0.5, 0, 0), new ICtCp(0.5, double.NaN, 0))));
    }

    [Fact]
    public void Parts_SquaresAddUpToTheWhole() =>
        AimedColours.LabPair.Sample(pair =>
        {
            double whole = DeltaE2000.Between(pair.First, pair.Second);
            Assert.Equal(whole, DeltaE2000.Parts(pair.First, pair.Second).Total, 1e-9 * Math.Max(1, whole));
            double distance = DeltaE76.Between(pair.First, pair.Second);
            Assert.Equal(distance, DeltaE76.Parts(pair.First, pair.Second).Total, 1e-9 * Math.Max(1, distance));
        });

    [Fact]
    public void Parts_ExchangedColours_TurnTheirSigns() =>
        AimedColours.LabPair.Sample(pair =>
        {
            DeltaEParts there = DeltaE2000.Parts(pair.First, pair.Second), back = DeltaE2000.Parts(pair.Second, pair.First);
            Assert.Equal(there.Lightness, -back.Lightness, 1e-12);
            Assert.Equal(there.Chroma, -back.Chroma, 1e-10);
            Assert.Equal(there.Hue, -back.Hue, 1e-10);
        });

    [Fact]
    public void Lch_OfLabAndBack_IsTheSameColour() =>
        AimedColours.LabPair.Sample(pair =>
            Assert.Equal(0, DeltaE76.Between(pair.First, Lch.FromLab(pair.First).ToLab()), 1e-12 * Scale(pair.First)));

    [Fact]
    public void LabToXyz_OfFromXyz_IsTheSame() =>
        Gen.Double[-0.1, 12].Array[3].Sample(v =>
        {
            Xyz white = Chromaticity.D50.ToXyz();
            Xyz back = Lab.FromXyz(new Xyz(v[0], v[1], v[2]), white).ToXyz(white);
            Assert.Equal(v[0], back.X, 1e-12);
            Assert.Equal(v[1], back.Y, 1e-12);
            Assert.Equal(v[2], back.Z, 1e-12);
        });

    [Fact]
    public void MatrixTimesItsInverse_IsTheIdentity() =>
        s_matrix.Sample(m =>
        {
            (double x, double y, double z) = (m * m.Inverse()).Times(1, 2, 3);
            Assert.Equal(1, x, 1e-12);
            Assert.Equal(2, y, 1e-12);
            Assert.Equal(3, z, 1e-12);
            (x, y, z) = m.Inverse().Times(m.M11 + m.M12, m.M21 + m.M22, m.M31 + m.M32);
            Assert.Equal((1, 1, 0), (Math.Round(x, 11), Math.Round(y, 11), Math.Round(z, 11)));
        });

    [Fact]
    public void Adaptation_ThereAndBack_IsTheIdentityForEveryMethodAndPairOfWhites()
    {
        Gen<Chromaticity> white = Gen.OneOf(
            Chromaticity.A, Chromaticity.C, Chromaticity.D50, Chromaticity.D55, Chromaticity.D65, Chromaticity.D75, Chromaticity.E);
        Gen<Func<Xyz, Xyz, Matrix3>> method = Gen.OneOf<Func<Xyz, Xyz, Matrix3>>(
            Adaptation.Bradford, Adaptation.Cat02, Adaptation.Cat16);
        Gen.Select(method, white, white, Gen.Double[0, 1].Array[3]).Sample((adapt, from, to, c) =>
        {
            Xyz a = from.ToXyz(), b = to.ToXyz();
            (double x, double y, double z) = adapt(a, b).Times(c[0], c[1], c[2]);
            (x, y, z) = adapt(b, a).Times(x, y, z);
            Assert.Equal(c[0], x, 1e-12);
            Assert.Equal(c[1], y, 1e-12);
            Assert.Equal(c[2], z, 1e-12);
            (x, y, z) = adapt(a, b).Times(a.X, a.Y, a.Z);
            Assert.Equal(b.X, x, 1e-12);
            Assert.Equal(b.Y, y, 1e-12);
            Assert.Equal(b.Z, z, 1e-12);
        });
    }

    [Fact]
    public void Adaptation_ToBlack_IsRefused() =>
        Assert.Throws<ArgumentException>(() => Adaptation.Bradford(Chromaticity.D65.ToXyz(), default));

    private static double Scale(Lab lab) => Math.Max(1, (Math.Abs(lab.L) + lab.Chroma) / 100);

    private static void AssertNear(CodeRgb expected, CodeRgb actual, double tolerance)
    {
        Assert.Equal(expected.R, actual.R, tolerance);
        Assert.Equal(expected.G, actual.G, tolerance);
        Assert.Equal(expected.B, actual.B, tolerance);
    }
}
