using System.Collections.Immutable;
using System.Globalization;
using CsCheck;
using Tonematch.Colour;
using Tonematch.Core.Tests.Luts.Tables;
using Tonematch.Formats.Cdl;
using Tonematch.Formats.Clf;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats.Clf;

public class ClfFormatTests
{
    // The tables were computed in float by a program that rounds half-float outputs nowhere; logs and powers in float
    // cost it a few units of 1e-6.
    private const double Tolerance = 5e-6;

    // Source: OpenColorIO 2.1.2's outputs.
    [Fact]
    public void Read_SharedFiles_GiveTheColoursOfOpenColorIO()
    {
        Dictionary<string, ClfFile> files = [];
        int compared = 0;
        foreach (ExpectedOutput row in ExpectedOutput.Of(".clf"))
        {
            if (!files.TryGetValue(row.File, out ClfFile? clf))
            {
                files[row.File] = clf = ReadShared("valid/" + row.File);
            }

            // Where the file names no interpolation the other program uses the one it was asked for; the format says
            // trilinear.
            if (row.Method != LutMethod.Tetrahedral || clf.Nodes.All(n => n is not ClfLut3D { Method: LutMethod.Trilinear }) || NamesInterpolation(row.File))
            {
                row.AssertEqual(clf.Apply(row.Input), Tolerance);
                compared++;
            }
        }

        Assert.True(files.Count >= 30 && compared >= 300, $"{files.Count} files, {compared} colours");
    }

    // OpenColorIO 2.1.2 cannot read these two (SMPTE's newer form); their content is known: identities.
    [Theory]
    [InlineData("namespaces.clf")]
    [InlineData("broadcast_profile_lut33.clf")]
    public void Read_SmpteForm_IsRead(string file)
    {
        ClfFile clf = ReadShared("valid/" + file);
        foreach (CodeRgb c in new[] { new CodeRgb(0.2, 0.5, 0.9), CodeRgb.Grey(0), CodeRgb.Grey(1) })
        {
            // The table of one of them is printed with four decimals.
            CodeRgb o = clf.Apply(c);
            Assert.True(Math.Abs(o.R - c.R) < 1e-4 && Math.Abs(o.G - c.G) < 1e-4 && Math.Abs(o.B - c.B) < 1e-4, $"{c} {o}");
        }
    }

    [Fact]
    public void Read_EverySharedBrokenFile_IsRefusedWithNameAndLine()
    {
        string[] files = Directory.GetFiles(SharedData.Require("luts/broken"), "*.clf");
        Assert.True(files.Length >= 20);
        foreach (string file in files)
        {
            using StreamReader reader = new(file);
            Exception? e = Record.Exception(() => ClfFormat.Read(reader, "a.clf"));
            Assert.True(e is UnusableInputException, $"{Path.GetFileName(file)}: {e?.GetType().Name ?? "read without a word"} {e?.Message}");
            Assert.Matches(@"^a\.clf, line [1-9][0-9]*: .{10,}\.$", e!.Message);
        }
    }

    // Source: OpenColorIO (Debian), reading the same text.
    [Theory]
    [InlineData("<LUT1D inBitDepth='10i' outBitDepth='32f'><IndexMap dim='2'>64@0 940@2</IndexMap><Array dim='3 1'>0 0.3 1</Array></LUT1D>")]
    [InlineData("<LUT3D inBitDepth='32f' outBitDepth='32f'><IndexMap dim='2'> -1e-1@0 1.9@ 1 </IndexMap><Array dim='2 2 2 3'>0 0 0  0 0 1  0 1 0  0 1 1  1 0 0  1 0 1  1 1 0  0.9 0.8 0.7</Array></LUT3D>")]
    public void Read_IndexMapOfTwoPointsInVersion2_GivesTheColoursOfOpenColorIO(string step)
    {
        string text = $"<?xml version='1.0'?><ProcessList id='a' compCLFversion='2.0'>{step}</ProcessList>";
        CodeRgb[] colours = LutOracles.Colours(5)[..300];
        CodeRgb[] theirs = LutOracles.OpenColorIO(text, "a.clf", colours, LutMethod.Trilinear);
        ClfFile ours = Read(text);
        foreach ((CodeRgb colour, CodeRgb expected) in colours.Zip(theirs))
        {
            CodeRgb o = ours.Apply(colour);
            Assert.True(Math.Abs(o.R - expected.R) < 2e-6 && Math.Abs(o.G - expected.G) < 2e-6 && Math.Abs(o.B - expected.B) < 2e-6, $"{colour}: {o}, theirs {expected}");
        }
    }

    [Fact]
    public void Read_AnElementOfManyAttributes_IsRefusedBeforeTheTreeIsBuilt()
    {
        string attributes = string.Concat(Enumerable.Range(0, 5000).Select(i => $" a{i.ToString(CultureInfo.InvariantCulture)}='1'"));
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => Read($"<ProcessList id='a' compCLFversion='3.0'{attributes}/>"));
        Assert.Contains("1000 attributes", e.Message, StringComparison.Ordinal);
    }

    // The fault that the file is named for is the one that is told.
    [Theory]
    [InlineData("array_bad_dimension.clf", 5, "dim '3 3' or '3 4'")]
    [InlineData("array_missing_values.clf", 5, "3 of 9 numbers")]
    [InlineData("cdl_bad_power.clf", 8, "Power must be above 0")]
    [InlineData("cdl_bad_slope.clf", 6, "2 of 3 numbers")]
    [InlineData("cdl_missing_offset.clf", 5, "no Offset")]
    [InlineData("exponent_bad_value.clf", 4, "exponent from 1 to 10")]
    [InlineData("id_bad_value.clf", 3, "urn:uuid")]
    [InlineData("indexMap_test2.clf", 16, "part of CLF 1 and 2 only")]
    [InlineData("log_bad_style.clf", 4, "style 'invalidStyle' is not known")]
    [InlineData("log_bad_version.clf", 6, "since CLF version 3")]
    [InlineData("lut1d_half_domain_missing_values.clf", 7, "65536 entries, not 32")]
    [InlineData("lut1d_raw_half_set_false.clf", 6, "may only be 'true'")]
    [InlineData("matrix_end_missing.clf", 5, "not well-formed XML")]
    [InlineData("process_list_higher_version.clf", 2, "version '3.2' is not known")]
    [InlineData("range_bad_noclamp.clf", 4, "noClamp must have all four values")]
    [InlineData("range_empty.clf", 4, "at least one pair")]
    [InlineData("transform_bad_outdepth.clf", 4, "outBitDepth '16d'")]
    [InlineData("transform_empty.clf", 2, "no step")]
    [InlineData("transform_missing_inbitdepth.clf", 4, "no inBitDepth")]
    [InlineData("unknown_elements.clf", 34, "unknown element 'B'")]
    public void Read_SharedBrokenFile_SaysItsFault(string file, int line, string fault)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(() => ReadShared("broken/" + file));
        Assert.StartsWith($"{file}, line {line}: ", e.Message, StringComparison.Ordinal);
        Assert.Contains(fault, e.Message, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("<Matrix inBitDepth='32f' outBitDepth='10i'><Array dim='3 3'>1 0 0 0 1 0 0 0 1</Array></Matrix>\n<Matrix inBitDepth='8i' outBitDepth='8i'><Array dim='3 3'>1 0 0 0 1 0 0 0 1</Array></Matrix>", 3, "does not match")]
    [InlineData("<LUT3D inBitDepth='32f' outBitDepth='32f'>\n<Array dim='130 130 130 3'>0</Array></LUT3D>", 3, "from 2 to 129")]
    [InlineData("<LUT3D inBitDepth='32f' outBitDepth='32f'>\n<Array dim='2 2 3 3'>0</Array></LUT3D>", 3, "dim 'N N N 3'")]
    [InlineData("<LUT1D inBitDepth='32f' outBitDepth='32f'>\n<Array dim='99999999999 3'>0</Array></LUT1D>", 3, "not a whole number within reason")]
    [InlineData("<LUT1D inBitDepth='32f' outBitDepth='32f'>\n<Array dim='2 1'>\n0\n<!-- a\nb -->\nx</Array></LUT1D>", 7, "'x' in Array is not a number")]
    [InlineData("<Exponent inBitDepth='32f' outBitDepth='32f' style='basicFwd'>\n<ExponentParams channel='Y' exponent='1'/></Exponent>", 3, "not R, G or B")]
    [InlineData("<Exponent inBitDepth='32f' outBitDepth='32f' style='basicFwd'><ExponentParams exponent='1'/>\n<ExponentParams channel='R' exponent='1'/></Exponent>", 3, "a second time")]
    [InlineData("<Log inBitDepth='32f' outBitDepth='32f' style='cameraLinToLog'><LogParams base='10'/></Log>", 2, "linSideBreak")]
    [InlineData("<ASC_CDL inBitDepth='32f' outBitDepth='32f' style='Rev'><SatNode><Saturation>0</Saturation></SatNode></ASC_CDL>", 2, "cannot be undone")]
    [InlineData("<Range inBitDepth='32f' outBitDepth='32f'><minInValue>0</minInValue></Range>", 2, "together or neither")]
    [InlineData("<Range inBitDepth='32f' outBitDepth='32f'><minInValue>1</minInValue><minOutValue>1</minOutValue><maxInValue>0</maxInValue><maxOutValue>2</maxOutValue></Range>", 2, "must rise")]
    public void Read_OtherFaults_AreNamedWithTheirLine(string node, int line, string fault)
    {
        UnusableInputException e = Assert.Throws<UnusableInputException>(
            () => Read("<ProcessList compCLFversion='3' id='a'>\n" + node + "</ProcessList>"));
        Assert.StartsWith($"a.clf, line {line}: ", e.Message, StringComparison.Ordinal);
        Assert.Contains(fault, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void Read_LargeSizeWithoutValues_IsRefusedBeforeItsMemoryIsTaken()
    {
        const string text = "<ProcessList compCLFversion='3' id='a'><LUT3D inBitDepth='32f' outBitDepth='32f'><Array dim='129 129 129 3'>0 1</Array></LUT3D></ProcessList>";
        Assert.Throws<UnusableInputException>(() => Read(text));
        long before = GC.GetAllocatedBytesForCurrentThread();
        Assert.Throws<UnusableInputException>(() => Read(text));
        Assert.True(GC.GetAllocatedBytesForCurrentThread() - before < 300_000);
    }

    [Fact]
    public void Write_EveryNode_ReadsBackEqual()
    {
        ClfFile file = EveryNode();
        ClfFile read = Read(Written(file));
        Assert.Equal((file.Id, file.Name, file.Description, file.InputDescriptor, file.OutputDescriptor),
            (read.Id, read.Name, read.Description, read.InputDescriptor, read.OutputDescriptor));
        Assert.Equal(file.Nodes.Select(n => n.GetType()), read.Nodes.Select(n => n.GetType()));
        Assert.Equal(((ClfLut3D)file.Nodes[^1]).Lut.Nodes, ((ClfLut3D)read.Nodes[^1]).Lut.Nodes);
        Assert.Equal("what the matrix is for", read.Nodes[0].Description);
        MadeTables.Colour(5).Sample(c =>
        {
            // Step by step, so that a later clamp hides nothing.
            foreach ((ClfNode wrote, ClfNode got) in file.Nodes.Zip(read.Nodes))
            {
                Assert.Equal(wrote.Apply(c), got.Apply(c));
            }
        });
    }

    // Source: OpenColorIO (Debian), reading our file. Logs and powers in its float arithmetic: 2e-5.
    [Fact]
    public void Write_EveryNode_ReadByOpenColorIO_GivesTheSameColours()
    {
        CodeRgb[] colours = LutOracles.Colours(9)[..500];
        ClfFile[] files = [.. EveryNode().Nodes.Select(node => new ClfFile([node]))];
        CodeRgb[][] all = LutOracles.OpenColorIO([.. files.Select(Written)], "a.clf", colours, null);
        Assert.Equal(files.Length, all.Length);
        foreach ((ClfFile file, CodeRgb[] theirs) in files.Zip(all))
        {
            for (int i = 0; i < colours.Length; i++)
            {
                CodeRgb ours = file.Apply(colours[i]);
                double limit = 2e-5 * Math.Max(1, Math.Max(Math.Abs(ours.R), Math.Max(Math.Abs(ours.G), Math.Abs(ours.B))));
                Assert.True(
                    Math.Abs(ours.R - theirs[i].R) < limit && Math.Abs(ours.G - theirs[i].G) < limit && Math.Abs(ours.B - theirs[i].B) < limit,
                    $"{file.Nodes[0]} at {colours[i]}: {ours}, theirs {theirs[i]}");
            }
        }
    }

    [Theory]
    [InlineData(ClfExponentStyle.MonCurveFwd, ClfExponentStyle.MonCurveRev)]
    [InlineData(ClfExponentStyle.MonCurveMirrorFwd, ClfExponentStyle.MonCurveMirrorRev)]
    [InlineData(ClfExponentStyle.BasicMirrorFwd, ClfExponentStyle.BasicMirrorRev)]
    [InlineData(ClfExponentStyle.BasicPassThruFwd, ClfExponentStyle.BasicPassThruRev)]
    public void Exponent_ForwardThenBack_ChangesNothing(ClfExponentStyle forward, ClfExponentStyle back)
    {
        bool mon = forward >= ClfExponentStyle.MonCurveFwd;
        (double, double, double) offset = mon ? (0.099, 0.055, 0.2) : default;
        ClfExponent there = new(forward, (2.2, 2.4, 1.5), offset), home = new(back, (2.2, 2.4, 1.5), offset);
        MadeTables.Colour(9).Sample(c =>
        {
            CodeRgb o = home.Apply(there.Apply(c));
            Assert.True(Math.Abs(o.R - c.R) < 1e-12 && Math.Abs(o.G - c.G) < 1e-12 && Math.Abs(o.B - c.B) < 1e-12, $"{c} {o}");
        });
    }

    private static ClfFile EveryNode()
    {
        float[] halfs = new float[3 * ClfLut1D.HalfDomainSize];
        for (int i = 0; i < halfs.Length; i++)
        {
            float x = (float)BitConverter.UInt16BitsToHalf((ushort)(i / 3));
            halfs[i] = float.IsFinite(x) ? (x / (1 + Math.Abs(x))) + (0.1f * (i % 3)) : 0;
        }

        ImmutableArray<ClfNode> nodes =
        [
            new ClfMatrix(new Matrix3(1.2, -0.1, 0.05, 0.02, 0.9, 0.1, -0.3, 0.2, 1.1), new CodeRgb(0.01, -0.02, 0.3)) { Description = "what the matrix is for" },
            new ClfMatrix(new Matrix3(1.2, -0.1, 0.05, 0.02, 0.9, 0.1, -0.3, 0.2, 1.1)),
            new ClfRange((0.1, 0.2), (0.7, 0.9)),
            new ClfRange((0.1, 0.2), (0.7, 0.9), clamps: false),
            new ClfRange((0.25, 0.25), null),
            new ClfRange(null, (0.75, 0.75)),
            new ClfAscCdl(new CdlNumbers((1.1, 0.9, 1.3), (-0.1, 0.1, 0.02), (1.2, 0.8, 1), 1.3)),
            new ClfAscCdl(new CdlNumbers((1.1, 0.9, 1.3), (-0.1, 0.1, 0.02), (1.2, 0.8, 1), 1.3), IsInverse: true),
            new ClfAscCdl(new CdlNumbers((1.1, 0.9, 1.3), (-0.1, 0.1, 0.02), (1.2, 0.8, 1), 1.3), Clamps: false),
            new ClfExponent(ClfExponentStyle.BasicFwd, (2.2, 1.1, 0.9)),
            new ClfExponent(ClfExponentStyle.BasicMirrorRev, (2.2, 1.1, 0.9)),
            new ClfExponent(ClfExponentStyle.BasicPassThruFwd, (2.2, 1.1, 0.9)),
            new ClfExponent(ClfExponentStyle.MonCurveFwd, (2.2, 2.4, 3), (0.099, 0.055, 0.16)),
            new ClfExponent(ClfExponentStyle.MonCurveMirrorRev, (2.2, 2.4, 3), (0.099, 0.055, 0.16)),
            new ClfLog(ClfLogStyle.AntiLog2),
            new ClfLog(ClfLogStyle.LinToLog, new(10, 0.3, 0.5, 2, 0.1), new(10, 0.4, 0.4, 3, 0.2), new(10, 0.5, 0.3, 1, 0.3)),
            new ClfLog(ClfLogStyle.CameraLinToLog, new(2, 0.06, 0.55, LinSideBreak: 0.01), new(2, 0.06, 0.55, LinSideBreak: 0.02), new(2, 0.06, 0.55, LinSideBreak: 0.03)),
            new ClfLog(ClfLogStyle.CameraLogToLin, new(10, 0.2, 0.55, 1, 0.1, 0.01, 8), new(10, 0.2, 0.55, 2, 0.1, 0.02, 7), new(10, 0.2, 0.55, 3, 0.1, 0.03, 6)),
            new ClfLut1D([0, 0.1f, 0.2f, 0.3f, 0.5f, 0.4f, 1, 1.1f, 0.9f]),
            new ClfLut1D(halfs, isHalfDomain: true),
            new ClfLut3D(MadeTables.Random(3, 5), LutMethod.Trilinear),
            new ClfLut3D(MadeTables.Random(5, 6)),
        ];
        return new ClfFile(nodes)
        {
            Id = "an id",
            Name = "a \"name\" & more",
            Description = "first\nsecond <line>",
            InputDescriptor = "camera B",
            OutputDescriptor = "like camera A",
        };
    }

    private static bool NamesInterpolation(string file) =>
        File.ReadAllText(SharedData.Require("luts/valid/" + file)).Contains("interpolation=", StringComparison.Ordinal);

    private static ClfFile ReadShared(string file)
    {
        using StreamReader reader = new(SharedData.Require("luts/" + file));
        return ClfFormat.Read(reader, Path.GetFileName(file));
    }

    private static ClfFile Read(string text) => ClfFormat.Read(new StringReader(text), "a.clf");

    private static string Written(ClfFile file)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        ClfFormat.Write(text, file);
        return text.ToString();
    }
}
