using System.Globalization;
using System.Text.Json;
using Tonematch.Colour;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Colour;

public class ColourValuesTests
{
    // Source: unit tests of colour-science/colour (BSD-3-Clause), eight printed decimals.
    [Theory]
    [InlineData(0.20654008, 0.12197225, 0.05136952, 0.31270, 0.32900, 41.52787529, 52.63858304, 26.92317922)]
    [InlineData(0.14222010, 0.23042768, 0.10495772, 0.31270, 0.32900, 55.11636304, -41.08791787, 30.91825778)]
    [InlineData(0.07818780, 0.06157201, 0.28099326, 0.31270, 0.32900, 29.80565520, 20.01830466, -48.34913874)]
    [InlineData(0.20654008, 0.12197225, 0.05136952, 0.44757, 0.40745, 41.52787529, 38.48089305, -5.73295122)]
    [InlineData(0.20654008, 0.12197225, 0.05136952, 0.34570, 0.35850, 41.52787529, 51.19354174, 19.91843098)]
    public void LabFromXyz_PublishedExamples_AgreeToAllDigits(
        double x, double y, double z, double whiteX, double whiteY, double l, double a, double b)
    {
        Lab got = Lab.FromXyz(new Xyz(x, y, z), new Chromaticity(whiteX, whiteY).ToXyz());
        Assert.Equal(l, got.L, 5.01e-9);
        Assert.Equal(a, got.A, 5.01e-9);
        Assert.Equal(b, got.B, 5.01e-9);
    }

    [Fact]
    public void LabFromXyz_SharedExamples_AgreeToAllDigits()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/lab-examples.csv"));
        Assert.Equal(5, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            LabFromXyz_PublishedExamples_AgreeToAllDigits(
                N("X"), N("Y"), N("Z"), N("white_x"), N("white_y"), N("L"), N("a"), N("b"));
        }
    }

    // [BT.2100] through the unit tests of colour-science/colour. A peak of 4000 cd/m2 for light 1 is a scale.
    [Theory]
    [InlineData(10000, 0.07351364, 0.00475253, 0.09351596)]
    [InlineData(4000, 0.10516931, 0.00514031, 0.1231873)]
    [InlineData(1000, 0.17079612, 0.0048558, 0.17431356)]
    public void ICtCpFromLuminousBt2020_PublishedExamples_AgreeToAllDigits(double peak, double i, double ct, double cp)
    {
        double k = 10000 / peak;
        ICtCp got = ICtCp.FromLuminousBt2020(k * 0.45620519, k * 0.03081071, k * 0.04091952);
        Assert.Equal(i, got.I, 5.01e-9);
        Assert.Equal(ct, got.Ct, 5.01e-9);
        Assert.Equal(cp, got.Cp, 5.01e-9);
    }

    [Fact]
    public void ICtCpFromHlgScene_PublishedExample_AgreesToAllDigits()
    {
        ICtCp got = ICtCp.FromHlgScene(new SceneRgb(0.45620519, 0.03081071, 0.04091952));
        Assert.Equal(0.62567899, got.I, 5.01e-9);
        Assert.Equal(-0.0198449, got.Ct, 5.01e-9);
        Assert.Equal(0.35911259, got.Cp, 5.01e-9);
    }

    [Fact]
    public void ICtCp_SharedExamples_AgreeToAllDigits()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows =
            CsvTable.Read(SharedData.Require("reference-values/ictcp-examples.csv"));
        int checkedRows = 0;
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            (double r, double g, double b) = (N("R_linear_2020"), N("G_linear_2020"), N("B_linear_2020"));
            ICtCp got;
            if (row["method"].StartsWith("PQ, L_p ", StringComparison.Ordinal))
            {
                double k = 10000 / double.Parse(row["method"][8..], CultureInfo.InvariantCulture);
                got = ICtCp.FromLuminousBt2020(k * r, k * g, k * b);
            }
            else if (row["method"] == "HLG BT.2100-2")
            {
                got = ICtCp.FromHlgScene(new SceneRgb(r, g, b));
            }
            else
            {
                // The superseded first edition is not offered.
                Assert.Equal("HLG BT.2100-1", row["method"]);
                continue;
            }

            Assert.Equal(N("I"), got.I, 5.01e-9);
            Assert.Equal(N("Ct"), got.Ct, 5.01e-9);
            Assert.Equal(N("Cp"), got.Cp, 5.01e-9);
            checkedRows++;
        }

        Assert.Equal(4, checkedRows);
    }

    // One colour on an SDR and on a PQ display of the same luminance is one colour.
    [Fact]
    public void ToICtCp_SameLightInSdrAndPq_IsTheSameColour()
    {
        CodeRgb code = new(0.7, 0.4, 0.3);
        ICtCp sdr = SignalEncoding.Bt709.ToICtCp(code);
        ICtCp pq = SignalEncoding.Pq.ToICtCp(SignalEncoding.Pq.FromXyz(SignalEncoding.Bt709.ToXyz(code)));
        Assert.Equal(sdr.I, pq.I, 1e-12);
        Assert.Equal(sdr.Ct, pq.Ct, 1e-12);
        Assert.Equal(sdr.Cp, pq.Cp, 1e-12);
    }

    // [CIE15] as collected in colour-science/colour, 2 degree observer.
    [Fact]
    public void WhitePoints_SharedTable_AreTheOnesInUse()
    {
        Dictionary<string, Chromaticity> ours = new()
        {
            ["A"] = Chromaticity.A,
            ["C"] = Chromaticity.C,
            ["D50"] = Chromaticity.D50,
            ["D55"] = Chromaticity.D55,
            ["D65"] = Chromaticity.D65,
            ["D75"] = Chromaticity.D75,
            ["E"] = Chromaticity.E,
        };
        int found = 0;
        foreach (IReadOnlyDictionary<string, string> row in
            CsvTable.Read(SharedData.Require("reference-values/white-points.csv")))
        {
            if (row["observer_deg"] != "2" || !ours.TryGetValue(row["name"], out Chromaticity white))
            {
                continue;
            }

            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            Assert.Equal(N("x"), white.X, 1e-15);
            Assert.Equal(N("y"), white.Y, 1e-15);
            Xyz xyz = white.ToXyz();
            Assert.Equal(N("X"), xyz.X, 5.01e-7);
            Assert.Equal(N("Z"), xyz.Z, 5.01e-7);
            found++;
        }

        Assert.Equal(ours.Count, found);
    }

    // [IEC61966-2-1] prints four decimals; its two matrices are not exact inverses of each other.
    [Fact]
    public void RgbToXyz_Bt709_IsTheStandardsMatrixToFourDecimals()
    {
        AssertNear(new(0.4124, 0.3576, 0.1805, 0.2126, 0.7152, 0.0722, 0.0193, 0.1192, 0.9505), SignalEncoding.Srgb.RgbToXyz, 5.01e-5);
        AssertNear(new(3.2406, -1.5372, -0.4986, -0.9689, 1.8758, 0.0415, 0.0557, -0.2040, 1.0570), SignalEncoding.Srgb.XyzToRgb, 5e-4);
    }

    // The second row of the matrix is luma's: [BT.709], [BT.2020] item 'luminance'.
    [Fact]
    public void RgbToXyz_SecondRow_IsTheStandardsLumaToFourDecimals()
    {
        Matrix3 video = SignalEncoding.Bt709.RgbToXyz, wide = SignalEncoding.Bt2020.RgbToXyz;
        Assert.Equal([0.2126, 0.7152, 0.0722], Rounded(video.M21, video.M22, video.M23));
        Assert.Equal([0.2627, 0.6780, 0.0593], Rounded(wide.M21, wide.M22, wide.M23));

        static double[] Rounded(params double[] values) => [.. values.Select(v => Math.Round(v, 4))];
    }

    // W3C CSS Color 4 sample code (recomputed 2023): sixteen digits.
    [Fact]
    public void Bradford_D65ToD50_IsThePublishedMatrix() => AssertNear(
        new(1.0479297925449969, 0.022946870601609652, -0.05019226628920524,
            0.02962780877005599, 0.9904344267538799, -0.017073799063418826,
            -0.009243040646204504, 0.015055191490298152, 0.7518742814281371),
        Adaptation.Bradford(Chromaticity.D65.ToXyz(), Chromaticity.D50.ToXyz()),
        1e-14);

    // Unit tests of colour-science/colour: eight decimals, whites as printed there.
    [Fact]
    public void Cat02_D65ToD50_IsThePublishedMatrix() => AssertNear(
        new(1.04257389, 0.03089108, -0.05281257, 0.02219345, 1.00185663, -0.02107375, -0.00116488, -0.00342053, 0.76178907),
        Adaptation.Cat02(new Xyz(0.95045593, 1, 1.08905775), new Xyz(0.96429568, 1, 0.82510460)),
        1.1e-8);

    // The defining property: the first white becomes the second ([Li2017] for CAT16's numbers, from memory; their rows
    // sum to the response to the equal-energy white, which CAT16 normalises to 1).
    [Fact]
    public void Cat16_CarriesWhiteToWhiteAndIsNormalisedToEqualEnergy()
    {
        Xyz from = Chromaticity.D65.ToXyz(), to = Chromaticity.A.ToXyz();
        (double x, double y, double z) = Adaptation.Cat16(from, to).Times(from.X, from.Y, from.Z);
        Assert.Equal(to.X, x, 1e-12);
        Assert.Equal(1, y, 1e-12);
        Assert.Equal(to.Z, z, 1e-12);
        (double l, double m, double s) = Adaptation.Cat16Cones.Times(1, 1, 1);
        Assert.Equal(1, l, 1.1e-6);
        Assert.Equal(1, m, 1.1e-6);
        Assert.Equal(1, s, 1.1e-6);
    }

    [Fact]
    public void Matrices_SharedTable_AgreeToAllPrintedDigits()
    {
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(SharedData.Require("reference-values/matrices.json")));
        Matrix3 M(string name) => Read(json.RootElement.GetProperty(name).GetProperty("matrix"));
        Xyz d65 = Chromaticity.D65.ToXyz(), d50 = Chromaticity.D50.ToXyz();
        AssertNear(M("bradford_cone_response"), Adaptation.BradfordCones, 0);
        AssertNear(M("cat02"), Adaptation.Cat02Cones, 0);
        AssertNear(M("bradford_D65_to_D50"), Adaptation.Bradford(d65, d50), 1e-14);
        AssertNear(M("bradford_D50_to_D65"), Adaptation.Bradford(d50, d65), 1e-14);
        AssertNear(M("bradford_D65_to_D50_8_digits"), Adaptation.Bradford(d65, d50), 5.01e-9);

        // Whites with eight digits go in, so the last of eight digits may move by one.
        Xyz printedD65 = new(0.95045593, 1, 1.08905775);
        AssertNear(M("cat02_D65_to_D50"), Adaptation.Cat02(printedD65, new Xyz(0.96429568, 1, 0.82510460)), 1.1e-8);
        AssertNear(M("cat02_D65_to_A"), Adaptation.Cat02(printedD65, new Xyz(1.09846607, 1, 0.35582280)), 1.1e-8);
        AssertNear(M("sRGB_to_XYZ_IEC"), SignalEncoding.Srgb.RgbToXyz, 5.01e-5);

        // Of another D65 (0.95047, 1, 1.08883).
        AssertNear(M("sRGB_to_XYZ_Lindbloom"), SignalEncoding.Srgb.RgbToXyz, 3e-4);

        JsonElement primaries = json.RootElement.GetProperty("primaries");
        foreach ((string name, RgbPrimaries ours) in new[]
        {
            ("BT.709 / sRGB", RgbPrimaries.Bt709), ("BT.2020 / BT.2100", RgbPrimaries.Bt2020), ("P3 D65", RgbPrimaries.P3D65),
        })
        {
            Chromaticity[] theirs =
                [.. primaries.GetProperty(name).EnumerateArray().Select(p => new Chromaticity(p[0].GetDouble(), p[1].GetDouble()))];
            Assert.Equal([ours.Red, ours.Green, ours.Blue, ours.White], theirs);
        }
    }

    [Fact]
    public void XyY_OfAWhite_KeepsChromaticityAndScalesWithLuminance()
    {
        Xyz xyz = new XyY(Chromaticity.C, 0.5).ToXyz();
        Assert.Equal(0.980706 / 2, xyz.X, 5e-7); // [CIE15]: X of illuminant C is 0.980706
        Assert.Equal(0.5, xyz.Y);
        XyY back = XyY.FromXyz(xyz);
        Assert.Equal(Chromaticity.C.X, back.Chromaticity.X, 1e-15);
        Assert.Equal(Chromaticity.C.Y, back.Chromaticity.Y, 1e-15);
        Assert.Equal(default, XyY.FromXyz(default));
        Assert.Equal(default, new XyY(new Chromaticity(0, 0), 0).ToXyz());
    }

    [Fact]
    public void Inverse_OfASingularMatrix_IsRefused() =>
        Assert.Throws<ArgumentException>(() => new Matrix3(1, 2, 3, 2, 4, 6, 0, 0, 1).Inverse());

    [Fact]
    public void TryParse_NamesOfTheContract_FindEveryEncodingAndNothingElse()
    {
        foreach (string name in new[] { "bt709", "srgb", "display-p3", "bt2020", "hlg", "pq", "acescct" })
        {
            Assert.True(SignalEncoding.TryParse(name.ToUpperInvariant(), out SignalEncoding? encoding));
            Assert.Equal(name, encoding.Name);
        }

        Assert.Equal(7, SignalEncoding.All.Count);
        Assert.False(SignalEncoding.TryParse("rec709", out _));
        Assert.False(SignalEncoding.TryParse(null, out _));
    }

    private static Matrix3 Read(JsonElement rows)
    {
        double[] m = [.. rows.EnumerateArray().SelectMany(r => r.EnumerateArray()).Select(v => v.GetDouble())];
        return new Matrix3(m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]);
    }

    private static void AssertNear(Matrix3 expected, Matrix3 actual, double tolerance)
    {
        foreach ((double e, double a) in new[]
        {
            (expected.M11, actual.M11), (expected.M12, actual.M12), (expected.M13, actual.M13),
            (expected.M21, actual.M21), (expected.M22, actual.M22), (expected.M23, actual.M23),
            (expected.M31, actual.M31), (expected.M32, actual.M32), (expected.M33, actual.M33),
        })
        {
            Assert.Equal(e, a, tolerance);
        }
    }
}
