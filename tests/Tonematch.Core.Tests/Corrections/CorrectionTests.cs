using System.Globalization;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Corrections;

public class CorrectionTests
{
    // The source of the vectors gives six decimals.
    private const double PublishedDigits = 2e-6;

    private static readonly SignalEncoding s_bt709 = SignalEncoding.Bt709;

    public static TheoryData<string> EachKind => [.. Examples(s_bt709, s_bt709).Select(c => c.Kind.Name())];

    // Source: OpenColorIO unit tests (tests/cpu/ops/cdl), computed there with an independent ASC CDL implementation.
    [Fact]
    public void Cdl_IndependentVectors_AgreeToTheirDigits()
    {
        int count = 0;
        foreach (IReadOnlyDictionary<string, string> row in CsvTable.Read(SharedData.Require("reference-values/asc-cdl-vectors.csv")))
        {
            if (row["style"] != "ASC v1.2, clamped, forward")
            {
                continue;
            }

            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            PerChannel Three(string name) => new(N(name + "_r"), N(name + "_g"), N(name + "_b"));
            CdlCorrection cdl = new(s_bt709, s_bt709, Three("slope"), Three("offset"), Three("power"), N("saturation"));
            CodeRgb actual = cdl.Apply(new CodeRgb(N("in_r"), N("in_g"), N("in_b")));
            Assert.Equal(N("out_r"), actual.R, PublishedDigits);
            Assert.Equal(N("out_g"), actual.G, PublishedDigits);
            Assert.Equal(N("out_b"), actual.B, PublishedDigits);
            count++;
        }

        Assert.True(count >= 28, $"only {count} vectors were found");
    }

    // y = (lift + (gain - lift) x)^(1 / gamma), worked by hand: (0.1 + 0.8 * 0.5)^(1/2) = sqrt(0.5).
    [Fact]
    public void LiftGammaGain_MiddleGrey_IsTheFormula()
    {
        LiftGammaGainCorrection c = new(s_bt709, s_bt709, PerChannel.All(0.1), PerChannel.All(2), PerChannel.All(0.9));
        Assert.Equal(Math.Sqrt(0.5), c.Apply(CodeRgb.Grey(0.5)).G, 1e-15);
    }

    [Fact]
    public void LiftGammaGain_NegativeLift_RisesThroughBlackWithoutAGap()
    {
        LiftGammaGainCorrection c = new(s_bt709, s_bt709, PerChannel.All(-0.05), PerChannel.All(1.3), PerChannel.All(1));
        double last = double.NegativeInfinity;
        for (int i = -50; i <= 150; i++)
        {
            double y = c.Apply(CodeRgb.Grey(i / 100.0)).R;
            Assert.True(y > last, $"{y} at {i} does not rise");
            last = y;
        }

        Assert.True(c.Apply(CodeRgb.Grey(0)).R < 0);
    }

    [Theory]
    [MemberData(nameof(EachKind))]
    public void Apply_AnyFiniteInput_IsFinite(string kind)
    {
        foreach (SignalEncoding encoding in SignalEncoding.All)
        {
            Correction c = Examples(encoding, s_bt709).First(e => e.Kind.Name() == kind);
            Correction d = Examples(s_bt709, encoding).First(e => e.Kind.Name() == kind);
            double[] values = [double.MinValue, -1e9, -1, -0.07, 0, double.Epsilon, 0.018, 0.5, 1, 1.09, 2, 1e9, double.MaxValue];
            foreach (double v in values)
            {
                foreach (double w in values)
                {
                    Assert.True(c.Apply(new CodeRgb(v, w, 0.3)).IsFinite, $"{kind} {encoding}: {v} {w}");
                    Assert.True(d.Apply(new CodeRgb(0.3, v, w)).IsFinite, $"{kind} to {encoding}: {v} {w}");
                }
            }
        }
    }

    [Theory]
    [MemberData(nameof(EachKind))]
    public void Apply_NaN_GivesNaN(string kind)
    {
        Correction c = Examples(s_bt709, s_bt709).First(e => e.Kind.Name() == kind);
        Assert.True(double.IsNaN(c.Apply(new CodeRgb(double.NaN, 0.5, 0.5)).R));
    }

    [Theory]
    [MemberData(nameof(EachKind))]
    public void Apply_Spans_EqualsOneByOneInPlaceToo(string kind)
    {
        Correction c = Examples(s_bt709, s_bt709).First(e => e.Kind.Name() == kind);
        for (int length = 0; length <= 40; length++)
        {
            CodeRgb[] colours = [.. Enumerable.Range(0, length).Select(i => new CodeRgb(i / 37.0, i / 50.0, 1 - (i / 41.0)))];
            CodeRgb[] expected = [.. colours.Select(c.Apply)];
            c.Apply(colours, colours);
            Assert.Equal(expected, colours);
        }
    }

    [Theory]
    [MemberData(nameof(EachKind))]
    public void Numbers_EachKind_HaveNamesOfTheirOwn(string kind)
    {
        Correction c = Examples(s_bt709, s_bt709).First(e => e.Kind.Name() == kind);
        Assert.Equal(c.Numbers.Count, c.Numbers.Select(n => n.Name).Distinct().Count());
        Assert.All(c.Numbers, n => Assert.True(double.IsFinite(n.Value)));
    }

    // A matrix in light commutes with exposure: double the light in, double the light out.
    [Fact]
    public void Matrix_TwiceTheLight_GivesTwiceTheLight() => Gen.Double[0.01, 0.4].Array[3].Sample(x =>
    {
        Correction c = Examples(s_bt709, s_bt709).First(e => e.Kind == CorrectionKind.Matrix);
        SceneRgb once = s_bt709.ToScene(c.Apply(s_bt709.FromScene(new SceneRgb(x[0], x[1], x[2]))));
        SceneRgb twice = s_bt709.ToScene(c.Apply(s_bt709.FromScene(new SceneRgb(2 * x[0], 2 * x[1], 2 * x[2]))));
        Assert.Equal(2 * once.R, twice.R, 1e-9);
        Assert.Equal(2 * once.G, twice.G, 1e-9);
        Assert.Equal(2 * once.B, twice.B, 1e-9);
    });

    // Finlayson, Mackiewicz and Hurlbert 2015: root terms scale with exposure, as the matrix does.
    [Fact]
    public void RootPolynomial_TwiceTheLight_GivesTwiceTheLight() => Gen.Double[0.01, 0.4].Array[3].Sample(x =>
    {
        Correction c = Examples(s_bt709, s_bt709).First(e => e.Kind == CorrectionKind.RootPolynomial);
        SceneRgb once = s_bt709.ToScene(c.Apply(s_bt709.FromScene(new SceneRgb(x[0], x[1], x[2]))));
        SceneRgb twice = s_bt709.ToScene(c.Apply(s_bt709.FromScene(new SceneRgb(2 * x[0], 2 * x[1], 2 * x[2]))));
        Assert.Equal(2 * once.R, twice.R, 1e-9);
        Assert.Equal(2 * once.B, twice.B, 1e-9);
    });

    // Source: colour-science/colour, tests of the expansion of Finlayson et al. 2015, degree 2 (in another order there:
    // sqrt(rg), sqrt(gb), sqrt(rb)).
    [Fact]
    public void RootPolynomial_TermExpansion_IsThePublishedOne()
    {
        using System.Text.Json.JsonDocument json = System.Text.Json.JsonDocument.Parse(
            File.ReadAllText(SharedData.Require("reference-values/matrix-fits.json")));
        System.Text.Json.JsonElement root = json.RootElement.GetProperty("root_polynomial");
        double[] input = [.. root.GetProperty("input_rgb").EnumerateArray().Select(e => e.GetDouble())];
        double[] expected = [.. root.GetProperty("root_polynomial_by_degree")[1].EnumerateArray().Select(e => e.GetDouble())];

        // A weight of 1 on one term at a time gives that term's value as red light.
        for (int term = 0; term < RootPolynomialCorrection.Terms; term++)
        {
            RootPolynomialCorrection one = new(s_bt709, s_bt709, [.. Enumerable.Range(0, 18).Select(i => i == term ? 1.0 : 0)]);
            CodeRgb code = s_bt709.FromScene(new SceneRgb(input[0], input[1], input[2]));
            Assert.Equal(expected[term], s_bt709.ToScene(one.Apply(code)).R, 1e-8); // the table has eight decimals
        }
    }

    [Fact]
    public void MonotoneCurve_AnyLogSlopes_RisesAndHasTheSlopesGiven() => Gen.Double[-3, 3].Array[2, 9].Sample(g =>
    {
        MonotoneCurve curve = new(0.1, [.. g]);
        double last = double.NegativeInfinity;
        for (int i = -20; i <= 120; i++)
        {
            double y = curve.At(i / 100.0);
            Assert.True(y > last);
            last = y;
        }

        for (int k = 0; k < g.Length; k++)
        {
            double x = k / (double)(g.Length - 1), h = 1e-6;
            Assert.Equal(Math.Exp(g[k]), (curve.At(x + h) - curve.At(x - h)) / (2 * h), 1e-3 * Math.Exp(g[k]) * 4);
        }
    });

    [Fact]
    public void MonotoneCurve_NoSlopes_IsTheStraightLine()
    {
        foreach (double x in new[] { -0.5, 0, 0.3, 1, 1.4 })
        {
            Assert.Equal(x, MonotoneCurve.Straight.At(x), 1e-15);
        }
    }

    [Fact]
    public void CurvesMatrix_AllStraight_ChangesNothing()
    {
        CurvesMatrixCorrection c = new(
            s_bt709, s_bt709, Matrix3.Identity, ChannelCurves.Straight, Matrix3.Identity, ChannelCurves.Straight, Matrix3.Identity);
        CodeRgb colour = new(0.1, 0.5, 0.9), actual = c.Apply(colour);
        Assert.Equal(colour.R, actual.R, 1e-12);
        Assert.Equal(colour.G, actual.G, 1e-12);
        Assert.Equal(colour.B, actual.B, 1e-12);
    }

    [Fact]
    public void Lattice_AtANode_IsTheParametricKindPlusThatNodesOffset()
    {
        float[] offsets = new float[81];
        offsets[3 * (1 + (3 * (2 + (3 * 0))))] = 0.25f; // red of node (1, 2, 0)
        LatticeCorrection c = new(new IdentityCorrection(s_bt709, s_bt709), 3, [.. offsets]);
        Assert.Equal(0.75, c.Apply(new CodeRgb(0.5, 1, 0)).R, 1e-12);
        Assert.Equal(0.5 + 0.125, c.Apply(new CodeRgb(0.5, 0.75, 0)).R, 1e-12);
        Assert.Equal(0.5, c.Apply(new CodeRgb(0.5, 0.5, 0)).R, 1e-12);
    }

    [Fact]
    public void Constructor_NumbersOutOfRange_AreRefused()
    {
        PerChannel one = PerChannel.All(1), zero = PerChannel.All(0);
        Assert.Throws<ArgumentException>(() => new LiftGammaGainCorrection(s_bt709, s_bt709, zero, new(1, 0, 1), one));
        Assert.Throws<ArgumentException>(() => new LiftGammaGainCorrection(s_bt709, s_bt709, new(double.NaN, 0, 0), one, one));
        Assert.Throws<ArgumentException>(() => new CdlCorrection(s_bt709, s_bt709, new(-0.1, 1, 1), zero, one, 1));
        Assert.Throws<ArgumentException>(() => new CdlCorrection(s_bt709, s_bt709, one, zero, zero, 1));
        Assert.Throws<ArgumentException>(() => new CdlCorrection(s_bt709, s_bt709, one, zero, one, -1));
        Assert.Throws<ArgumentException>(() => new MatrixCorrection(s_bt709, s_bt709, Matrix3.Diagonal(1, double.PositiveInfinity, 1)));
    }

    private static IEnumerable<Correction> Examples(SignalEncoding secondary, SignalEncoding primary) =>
    [
        new IdentityCorrection(secondary, primary),
        new GainsCorrection(secondary, primary, 1.5, 0.8, 1.1),
        new LiftGammaGainCorrection(secondary, primary, new(0.05, -0.05, 0), new(1.4, 0.7, 1), new(0.9, 1.2, 1)),
        new CdlCorrection(secondary, primary, new(1.1, 0.9, 1), new(0.02, -0.03, 0), new(1.2, 0.8, 1), 1.3),
        new MatrixCorrection(secondary, primary, new Matrix3(1.4, -0.3, -0.1, -0.2, 1.3, -0.1, 0, -0.4, 1.4)),
        Curves(secondary, primary),
        new RootPolynomialCorrection(
            secondary, primary, [1.1, 0.1, -0.1, -0.2, 0.1, 0, 0, 1, 0.1, 0.05, -0.1, 0, 0.1, -0.2, 1.2, 0, 0, -0.1]),
        new LatticeCorrection(Curves(secondary, primary), 3, [.. Enumerable.Range(0, 81).Select(i => 0.01f * ((i % 7) - 3))]),
    ];

    private static CurvesMatrixCorrection Curves(SignalEncoding secondary, SignalEncoding primary) => new(
        secondary,
        primary,
        new Matrix3(1.1, -0.05, -0.05, 0.02, 0.98, 0, -0.03, -0.02, 1.05),
        new ChannelCurves(new(0.02, [0.1, -0.3, 0.2, 0]), new(0.01, [0, -0.2, 0.2, 0.1]), new(0, [0.2, -0.3, 0.1, -0.1])),
        new Matrix3(1.2, -0.1, -0.1, -0.05, 1.1, -0.05, 0.02, -0.2, 1.18),
        new ChannelCurves(new(-0.02, [0.5, 0, -0.5]), new(-0.01, [0.4, 0, -0.5]), new(0, [0.5, 0.1, -0.6])),
        new Matrix3(0.9, 0.05, 0.05, -0.02, 1.04, -0.02, 0, 0.1, 0.9));
}
