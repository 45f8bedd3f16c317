using System.Globalization;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Formats.Cdl;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Cdl;

public class CdlFormatTests
{
    private const string Sop = "<SOPNode><Slope>1 1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode>";

    private static readonly CdlNumbers s_numbers = new((1.1, 0.95, 1.02), (-0.02, 0.01, 0.003), (1.1, 0.9, 1.05), 0.85)
    {
        Id = "cam-b <1> & \"two\"",
        Description = "first line\nsecond & last",
    };

    // Source: OpenColorIO's published test vectors for ASC CDL v1.2 (SharedData SOURCES.md), tolerance 3e-5 there.
    [Fact]
    public void Apply_PublishedVectors_AgreeInAllFourStyles()
    {
        IReadOnlyList<IReadOnlyDictionary<string, string>> rows = CsvTable.Read(SharedData.Require("reference-values/asc-cdl-vectors.csv"));
        Assert.Equal(66, rows.Count);
        foreach (IReadOnlyDictionary<string, string> row in rows)
        {
            double N(string name) => double.Parse(row[name], CultureInfo.InvariantCulture);
            CdlNumbers numbers = new(
                (N("slope_r"), N("slope_g"), N("slope_b")), (N("offset_r"), N("offset_g"), N("offset_b")),
                (N("power_r"), N("power_g"), N("power_b")), N("saturation"));
            CodeRgb input = new(N("in_r"), N("in_g"), N("in_b"));
            bool clamp = !row["style"].StartsWith("no clamp", StringComparison.Ordinal);
            CodeRgb output = row["style"].EndsWith("inverse", StringComparison.Ordinal)
                ? numbers.ApplyInverse(input, clamp)
                : numbers.Apply(input, clamp);
            Near(new CodeRgb(N("out_r"), N("out_g"), N("out_b")), output, 3e-5, row["test"]);
        }
    }

    // Source: OpenColorIO 2.1.2, whose readers of .cc leave the clamps out. It does not know the names ASC_SOP and
    // ASC_SAT and leaves those nodes out: the two files that use them have a test of their own.
    [Fact]
    public void Read_SharedCcFiles_GiveTheColoursOfOpenColorIO()
    {
        int compared = 0;
        foreach (ExpectedOutput row in ExpectedOutput.Of(".cc").Where(r => !r.File.Contains("ASC_", StringComparison.Ordinal)))
        {
            row.AssertEqual(ReadShared(row.File).Single().Apply(row.Input, clamp: false), 5e-6);
            compared++;
        }

        Assert.True(compared >= 27, $"{compared}");
    }

    [Theory]
    [InlineData("cdl_test_ASC_SOP.cc")]
    [InlineData("cdl_test_ASC_SAT.cc")]
    [InlineData("cdl_test_SATNode.cc")]
    public void Read_OtherNamesOfTheNodes_AreTheSameNodes(string file)
    {
        CdlNumbers n = ReadShared(file).Single();
        Assert.Equal(((1.1, 1.2, 1.3), (2.1, 2.2, 2.3), (3.1, 3.2, 3.3), 0.42), (n.Slope, n.Offset, n.Power, n.Saturation));
    }

    [Theory]
    [InlineData("cdl_test1.ccc")]
    [InlineData("cdl_test1.cdl")]
    public void Read_SharedLists_HoldEveryCorrectionInOrder(string file)
    {
        IReadOnlyList<CdlNumbers> all = ReadShared(file);
        Assert.Equal("cc0001 cc0002 cc0003", string.Join(' ', all.Take(3).Select(n => n.Id)));
        Assert.Equal(((1.0, 1.0, 0.9), (-0.03, -0.02, 0.0), (1.25, 1.0, 1.0), 1.7), (all[0].Slope, all[0].Offset, all[0].Power, all[0].Saturation));
        Assert.Equal(((0.9, 0.7, 0.6), 0.7), (all[1].Slope, all[1].Saturation));
        Assert.Contains("For scenes 1 and 2", all[0].Description, StringComparison.Ordinal);
        Assert.Equal(((1.2, 1.1, 1.0), 1.0), (all[2].Slope, all[2].Saturation));
    }

    [Fact]
    public void Read_CorrectionsWithoutIdOrNode_AreReadAllTheSame()
    {
        IReadOnlyList<CdlNumbers> all = ReadShared("cdl_test1.ccc");
        Assert.Equal(((4.0, 5.0, 6.0), 1.0, null), (all[3].Slope, all[3].Saturation, all[3].Id));
        Assert.Equal(((1.0, 1.0, 1.0), 0.0), (all[4].Slope, all[4].Saturation));
    }

    [Theory]
    [InlineData("cdl_test_cc_file_with_extension.ccc")]
    [InlineData("cdl_test_cc_file_with_extension.cdl")]
    public void Read_SingleCorrectionUnderAnotherEnding_IsTakenForWhatItIs(string file) =>
        Assert.Equal(CdlNumbers.Identity, ReadShared(file).Single() with { Description = null });

    [Theory]
    [InlineData(CdlFileKind.Correction)]
    [InlineData(CdlFileKind.Collection)]
    [InlineData(CdlFileKind.DecisionList)]
    public void Write_ThenRead_GivesBackEveryNumberAndWord(CdlFileKind kind)
    {
        Assert.Equal(s_numbers, Read(Written(kind, s_numbers)).Single());
        Gen.Double[1e-9, 10].Array[9].Sample(v =>
        {
            CdlNumbers n = new((v[0], v[1], v[2]), (v[3] - 5, v[4] - 5, -v[5]), (v[6], v[7], v[8]), v[0]);
            Assert.Equal(n, Read(Written(kind, n)).Single());
        }, iter: 100);
    }

    // Source: OpenColorIO (Debian), reading our files. It leaves the clamps out.
    [Theory]
    [InlineData(CdlFileKind.Correction, "a.cc")]
    [InlineData(CdlFileKind.Collection, "a.ccc")]
    [InlineData(CdlFileKind.DecisionList, "a.cdl")]
    public void Write_ReadByOpenColorIO_GivesTheSameColours(CdlFileKind kind, string name)
    {
        CodeRgb[] colours = LutOracles.Colours(9)[..500];
        CdlNumbers plain = s_numbers with { Id = "x" };
        CodeRgb[] theirs = LutOracles.OpenColorIO(Written(kind, plain), name, colours, null, kind == CdlFileKind.Correction ? "" : "x");
        for (int i = 0; i < colours.Length; i++)
        {
            Near(theirs[i], plain.Apply(colours[i], clamp: false), 3e-6, $"{colours[i]}");
        }
    }

    [Theory]
    [InlineData("", 1, "not well-formed XML")]
    [InlineData("LUT_3D_SIZE 2", 1, "not well-formed XML")]
    [InlineData("<ColorCorrection>\n<SOPNode>\n</ColorCorrection>", 3, "not well-formed XML")]
    [InlineData("<!DOCTYPE a [<!ENTITY b \"c\">]>\n<ColorCorrection>&b;</ColorCorrection>", 1, "DOCTYPE")]
    [InlineData("<Other/>", 1, "not the beginning of an ASC CDL file")]
    [InlineData("<ColorCorrectionCollection/>", 1, "no ColorCorrection")]
    [InlineData("<ColorDecisionList>\n<ColorDecision/>\n</ColorDecisionList>", 1, "no ColorCorrection")]
    [InlineData("<ColorCorrection>\n</ColorCorrection>", 1, "neither a SOPNode nor a SatNode")]
    [InlineData("<ColorCorrection>\n" + Sop + "\n" + Sop + "</ColorCorrection>", 3, "a second SOPNode")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1 1</Slope><Power>1 1 1</Power></SOPNode></ColorCorrection>", 1, "no Offset")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>", 2, "2 of 3 numbers")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1\n1 1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>", 3, "more than 3 numbers")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1\n1,2</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>", 3, "'1,2' in Slope is not a number")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1 NaN</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>", 2, "not a finite number")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1 -1</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>", 2, "Slope must be 0 or more")]
    [InlineData("<ColorCorrection><SOPNode>\n<Slope>1 1 1</Slope><Offset>0 0 0</Offset>\n<Power>1 0 1</Power></SOPNode></ColorCorrection>", 3, "Power must be above 0")]
    [InlineData("<ColorCorrection>\n<SatNode><Saturation>-1</Saturation></SatNode></ColorCorrection>", 2, "Saturation must be 0 or more")]
    [InlineData("<ColorCorrection>\n<SatNode><Saturation><b/></Saturation></SatNode></ColorCorrection>", 2, "numbers only")]
    public void Read_BrokenText_NamesFileLineAndFault(string text, int line, string fault)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => Read(text));
        Assert.StartsWith($"a.cc, line {line}: ", e.Message, StringComparison.Ordinal);
        Assert.Contains(fault, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_EntitiesThatExplode_AreRefusedAtOnce()
    {
        string bomb = "<!DOCTYPE a [<!ENTITY a0 \"ha\">"
            + string.Concat(Enumerable.Range(1, 30).Select(i => $"<!ENTITY a{i} \"&a{i - 1};&a{i - 1};\">"))
            + "]><ColorCorrection id=\"&a30;\"/>";
        Assert.Contains("DOCTYPE", Assert.Throws<UnusableInputException>(() => Read(bomb)).Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("<a>")]
    [InlineData("<a/>")]
    [InlineData("<!---->")]
    public void Read_NothingButTags_IsRefusedBeforeItFillsTheMemory(string tag)
    {
        string text = "<ColorCorrection>" + string.Concat(Enumerable.Repeat(tag, 1_000_001));
        Assert.Contains("more than a million tags", Assert.Throws<UnusableInputException>(() => Read(text)).Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_ElementsNestedVeryDeep_AreRefusedAtOnce() => Assert.Contains(
        "nested more than 32 deep",
        Assert.Throws<UnusableInputException>(() => Read("<ColorCorrection>" + string.Concat(Enumerable.Repeat("<a>", 400_000)))).Message,
        StringComparison.Ordinal);

    [Fact]
    public void Write_SeveralCorrectionsAsCc_IsTheCallersMistake() =>
        Assert.Throws<ArgumentException>(() => Written(CdlFileKind.Correction, s_numbers, s_numbers));

    [Fact]
    public void CdlNumbers_OutsideTheirRanges_AreRefused()
    {
        Assert.Throws<ArgumentException>(() => new CdlNumbers((1, 1, -0.1), (0, 0, 0), (1, 1, 1), 1));
        Assert.Throws<ArgumentException>(() => new CdlNumbers((1, 1, 1), (0, double.NaN, 0), (1, 1, 1), 1));
        Assert.Throws<ArgumentException>(() => new CdlNumbers((1, 1, 1), (0, 0, 0), (0, 1, 1), 1));
        Assert.Throws<ArgumentException>(() => new CdlNumbers((1, 1, 1), (0, 0, 0), (1, 1, 1), -1));
    }

    private static IReadOnlyList<CdlNumbers> ReadShared(string file)
    {
        using StreamReader reader = new(SharedData.Require("luts/valid/" + file));
        return CdlFormat.Read(reader, file);
    }

    private static IReadOnlyList<CdlNumbers> Read(string text) => CdlFormat.Read(new StringReader(text), "a.cc");

    private static string Written(CdlFileKind kind, params CdlNumbers[] numbers)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CdlFormat.Write(text, kind, numbers);
        return text.ToString();
    }

    private static void Near(CodeRgb expected, CodeRgb actual, double tolerance, string where) => Assert.True(
        Math.Abs(expected.R - actual.R) <= tolerance && Math.Abs(expected.G - actual.G) <= tolerance && Math.Abs(expected.B - actual.B) <= tolerance,
        $"{where}: expected {expected}, got {actual}");
}
