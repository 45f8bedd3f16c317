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
    ];
}
