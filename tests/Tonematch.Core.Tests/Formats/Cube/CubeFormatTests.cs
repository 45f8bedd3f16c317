using System.Globalization;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Core.Tests.Luts.Tables;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Cube;

public class CubeFormatTests
{
    private const string SmallestRows = "0 0 0\n1 0 0\n0 1 0\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1 1 1\n";

    // Source: OpenColorIO 2.1.2's outputs in float, printed with 7 digits.
    [Fact]
    public void Read_SharedFiles_GiveTheColoursOfOpenColorIO()
    {
        int compared = 0;
        foreach (ExpectedOutput row in ExpectedOutput.Of(".cube"))
        {
            using StreamReader reader = new(SharedData.Require("luts/valid/" + row.File));
            CubeFile cube = CubeFormat.Read(reader, row.File);
            row.AssertEqual(cube.Apply(row.Input, row.Method ?? LutMethod.Tetrahedral));
            compared++;
        }

        Assert.True(compared > 100, $"{compared}");
    }

    [Fact]
    public void Read_EverySharedBrokenFile_IsRefusedWithNameAndLine()
    {
        string[] files = Directory.GetFiles(SharedData.Require("luts/broken"), "*.cube");
        Assert.NotEmpty(files);
        foreach (string file in files)
        {
            using StreamReader reader = new(file);
            UnusableInputException e = Assert.Throws<UnusableInputException>(() => CubeFormat.Read(reader, "lut.cube"));
            Assert.Matches(@"^lut\.cube, line [1-9]", e.Message);
        }
    }

    // One line a fault: the text, the line that is named, a part of the sentence.
    [Theory]
    [InlineData("", 0, "no LUT_1D_SIZE or LUT_3D_SIZE")]
    [InlineData("# only a comment\n", 1, "no LUT_1D_SIZE or LUT_3D_SIZE")]
    [InlineData("0 0 0\n", 1, "no LUT_1D_SIZE or LUT_3D_SIZE")]
    [InlineData("LUT_3D_SIZE 2\nWRONG_TAG 1\n" + SmallestRows, 2, "unknown keyword 'WRONG_TAG'")]
    [InlineData("LUT_3D_SIZE 1\n", 1, "from 2 to 129")]
    [InlineData("LUT_3D_SIZE 130\n", 1, "from 2 to 129")]
    [InlineData("LUT_3D_SIZE 4294967298\n", 1, "from 2 to 129")]
    [InlineData("LUT_3D_SIZE -2\n", 1, "from 2 to 129")]
    [InlineData("LUT_3D_SIZE 2.0\n", 1, "from 2 to 129")]
    [InlineData("LUT_3D_SIZE\n", 1, "one whole number")]
    [InlineData("LUT_3D_SIZE 2 2\n", 1, "one whole number")]
    [InlineData("LUT_1D_SIZE 65537\n", 1, "from 2 to 65536")]
    [InlineData("LUT_3D_SIZE 2\nLUT_3D_SIZE 2\n", 2, "a second time")]
    [InlineData("TITLE \"a\"\nTITLE \"b\"\n", 2, "a second time")]
    [InlineData("TITLE \"a\n", 1, "quotation mark")]
    [InlineData("LUT_3D_SIZE 2\nDOMAIN_MIN 0 0\n", 2, "2 of 3 numbers")]
    [InlineData("LUT_3D_SIZE 2\nDOMAIN_MIN 0 0 0 0\n", 2, "more than 3 numbers")]
    [InlineData("LUT_3D_SIZE 2\nDOMAIN_MAX 1 0 1\n0 0 0\n", 3, "above DOMAIN_MIN")]
    [InlineData("LUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0 1 2\n", 2, "more than 2 numbers")]
    [InlineData("LUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 1 0\n", 2, "must rise")]
    [InlineData("LUT_3D_SIZE 2\nLUT_1D_INPUT_RANGE 0 1\n0 0 0\n", 3, "does not have")]
    [InlineData("LUT_3D_SIZE 2\nDOMAIN_MAX 2 2 2\nLUT_3D_INPUT_RANGE 0 1\n0 0 0\n", 4, "one of them must go")]
    [InlineData("LUT_1D_SIZE 2\nLUT_3D_SIZE 2\nDOMAIN_MAX 2 2 2\n0 0 0\n", 4, "which of the two tables")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n1 0\n", 3, "2 of 3 numbers")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n1 0 0 0\n", 3, "more than 3 numbers")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n1 x 0\n", 3, "'x' in a row of the table is not a number")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n1,5 0 0\n", 3, "decimal point")]
    [InlineData("LUT_3D_SIZE 2\nnan 0 0\n", 2, "not a finite number")]
    [InlineData("LUT_3D_SIZE 2\n0 inf 0\n", 2, "not a number")]
    [InlineData("LUT_3D_SIZE 2\n0 Infinity 0\n", 2, "not a finite number")]
    [InlineData("LUT_3D_SIZE 2\n0 1e39 0\n", 2, "not a finite number")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n\n# c\n1 0 0\nTITLE \"late\"\n", 6, "among the table's rows")]
    [InlineData("LUT_3D_SIZE 2\n" + SmallestRows + "0 0 0\n", 10, "more rows than the 8")]
    [InlineData("LUT_3D_SIZE 2\n0 0 0\n1 0 0\n", 3, "ends after 2 of 8 rows")]
    [InlineData("LUT_3D_SIZE 2\n0 0\00\n", 2, "zero byte")]
    public void Read_BrokenText_NamesFileLineAndFault(string text, int line, string fault)
    {
        foreach (string lineEnd in new[] { "\n", "\r\n" })
        {
            UnusableInputException e = Assert.Throws<UnusableInputException>(
                () => Read(text.Replace("\n", lineEnd, StringComparison.Ordinal)));
            Assert.StartsWith($"a.cube, line {line}: ", e.Message, StringComparison.Ordinal);
            Assert.Contains(fault, e.Message, StringComparison.Ordinal);
        }
    }

    [Fact]
    public void Read_LargeSizeWithoutRows_IsRefusedBeforeItsMemoryIsTaken()
    {
        Read("LUT_3D_SIZE 2\n" + SmallestRows);
        long before = GC.GetAllocatedBytesForCurrentThread();
        Assert.Throws<UnusableInputException>(() => Read("LUT_3D_SIZE 129\n0 0 0\n"));
        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 200_000);
    }

    [Fact]
    public void Read_LineWithoutEnd_IsRefusedBeforeItFillsTheMemory() =>
        Assert.Contains("not a text file", Assert.Throws<UnusableInputException>(() => Read(new string('1', 5000))).Message, StringComparison.Ordinal);

    [Theory]
    [InlineData("\uFEFFLUT_3D_SIZE 2\n" + SmallestRows)]
    [InlineData("  lut_3d_size\t2  # two\n# comment\n\n   \t \n" + SmallestRows + "\n\n# end")]
    [InlineData("TITLE no marks\nLUT_3D_SIZE 2\nDOMAIN_MIN 0 0 0\nDOMAIN_MAX 1 1 1\n" + SmallestRows)]
    [InlineData("LUT_3D_SIZE 2\nLUT_3D_INPUT_RANGE 0 1\n" + SmallestRows)]
    [InlineData("LUT_3D_SIZE 2\n+0 0. .0\n1e0 0 -0\n0 1 0 # a corner\n1 1 0\n0 0 1\n1 0 1\n0 1 1\n1.000 1 1")]
    public void Read_HarmlessVariants_AreTheSameTable(string text)
    {
        Assert.Equal(Lut3D.Identity(2).Nodes, Read(text).Table!.Nodes);
        Assert.Equal(Lut3D.Identity(2).Nodes, Read(text.Replace("\n", "\r\n", StringComparison.Ordinal)).Table!.Nodes);
        Assert.Equal(Lut3D.Identity(2).Nodes, Read(text.Replace('\n', '\r')).Table!.Nodes);
    }

    [Fact]
    public void Write_ThenRead_GivesBackEveryFloatTitleAndDomain() =>
        Gen.Select(Gen.Int[2, 5], Gen.Int[0, 1000]).SelectMany((size, seed) => Gen.OneOf(
                Gen.Float[-2, 2], Gen.Float.Where(float.IsFinite), Gen.OneOf(0f, -0f, 1f, 1e-7f, -3e-12f, 1e-30f, float.Epsilon, float.MaxValue, 0.1f))
            .Array[3 * size * size * size].Select(nodes => new Lut3D(size, nodes, new CodeRgb(-0.5, 0, -seed), new CodeRgb(1, 1.25, 2))))
        .Sample(lut =>
        {
            CubeFile read = Read(Written(lut));
            Assert.Equal(lut.Nodes, read.Table!.Nodes);
            Assert.Equal((lut.DomainMin, lut.DomainMax, "a title"), (read.Table.DomainMin, read.Table.DomainMax, read.Title));
        }, iter: 200);

    [Fact]
    public void Write_OneDimensional_ReadsBackEqual()
    {
        Lut1D lut = new(3, [0, 0.1f, 0.2f, 0.3f, 0.4f, 0.5f, 1, 1.5f, 2], CodeRgb.Grey(-1), CodeRgb.Grey(1));
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CubeFormat.Write(text, lut, "curve");
        CubeFile read = Read(text.ToString());
        Assert.Equal(lut.Entries, read.Shaper!.Entries);
        Assert.Equal((lut.DomainMin, lut.DomainMax, null), (read.Shaper.DomainMin, read.Shaper.DomainMax, read.Table));
    }

    [Fact]
    public void Write_UnderACommaCulture_WritesPoints()
    {
        CultureInfo before = CultureInfo.CurrentCulture;
        try
        {
            CultureInfo comma = (CultureInfo)CultureInfo.InvariantCulture.Clone();
            comma.NumberFormat.NumberDecimalSeparator = ",";
            comma.NumberFormat.NegativeSign = "~";
            CultureInfo.CurrentCulture = comma;
            Lut3D lut = MadeTables.Random(2, 1);
            Assert.DoesNotContain(',', Written(lut));
            Assert.Equal(lut.Nodes, Read(Written(lut)).Table!.Nodes);
        }
        finally
        {
            CultureInfo.CurrentCulture = before;
        }
    }

    [Fact]
    public void Write_SmallNumbers_HaveNoExponentAndLinesEndInLf()
    {
        string text = Written(new Lut3D(2, [1e-7f, -2.5e-6f, .. Enumerable.Repeat(0.5f, 22)]));
        Assert.Contains("\n0.0000001 -0.0000025 0.5\n", text, StringComparison.Ordinal);
        Assert.DoesNotContain('\r', text);
    }

    [Fact]
    public void Write_TitleWithMarksAndLineEnds_StaysOneReadableLine()
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CubeFormat.Write(text, Lut3D.Identity(2), "say \"hi\"\nLUT_3D_SIZE 7");
        Assert.Equal("say 'hi' LUT_3D_SIZE 7", Read(text.ToString()).Title);
    }

    private static CubeFile Read(string text) => CubeFormat.Read(new StringReader(text), "a.cube");

    private static string Written(Lut3D lut)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CubeFormat.Write(text, lut, "a title");
        return text.ToString();
    }
}
