using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Exports.Corrections;
using Tonematch.Formats.Cdl;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Exports.Tests.Corrections;

/// <summary>Corrections carried from one open format to another, read by other programs.</summary>
public sealed class LutConversionTests : IDisposable
{
    // What the hand-over promises to whoever loads the files elsewhere.
    private const double SameColours = 1e-4;

    private static readonly CdlNumbers s_numbers = new((1.12, 0.95, 1.04), (-0.03, 0.015, 0.01), (1.1, 0.92, 1.03), 0.9);

    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    // Source: OpenColorIO 2.1 as independent reader of every format that is written.
    [Theory]
    [InlineData("mixing.cube", "out.cube", false, "Tetrahedral")]
    [InlineData("mixing.cube", "out.clf", false, "Tetrahedral")]
    [InlineData("mixing.cube", "curves.cube", true, null)]
    [InlineData("mixing.cube", "curves.clf", true, null)]
    [InlineData("mixing.cube", "out.cc", false, null)]
    [InlineData("mixing.cube", "out.ccc", false, null)]
    [InlineData("mixing.cube", "out.cdl", false, null)]
    [InlineData("shaped.cube", "out.clf", false, "Tetrahedral")]
    [InlineData("domain.cube", "out.clf", false, "Tetrahedral")]
    [InlineData("curve.cube", "out.clf", false, null)]
    [InlineData("numbers.cdl", "out.clf", false, null)]
    [InlineData("numbers.cdl", "out.cube", false, "Tetrahedral")]
    public async Task Convert_ReadByOpenColorIO_GivesTheColoursThatWeRead(string from, string to, bool curves, string? method)
    {
        CorrectionFile written = await ConvertAsync(await SourceAsync(from), to, curves: curves);
        LutMethod? read = method is null ? null : Enum.Parse<LutMethod>(method);
        CodeRgb[] colours = LutOracles.Colours(17);
        CodeRgb[] theirs = LutOracles.OpenColorIO(File.ReadAllText(_folder.PathOf(to)), to, colours, read, to.EndsWith(".ccc", StringComparison.Ordinal) || to.EndsWith(".cdl", StringComparison.Ordinal) ? "tonematch" : "");
        for (int i = 0; i < colours.Length; i++)
        {
            // Its reader of CDL files leaves the clamps out: only what no clamp touches can be compared.
            if (written.Cdl is { } n && !to.EndsWith(".clf", StringComparison.Ordinal))
            {
                CodeRgb free = n.Apply(colours[i], clamp: false);
                if (n.Apply(colours[i]) != free)
                {
                    continue;
                }
            }

            Near(theirs[i], written.Apply(colours[i]), SameColours, colours[i]);
        }
    }

    // Source: FFmpeg's lut3d and lut1d.
    [Theory]
    [InlineData("out.cube", false, "lut3d=file=out.cube:interp=tetrahedral")]
    [InlineData("curves.cube", true, "lut1d=file=curves.cube:interp=linear")]
    public async Task Convert_ReadByFfmpeg_GivesTheColoursThatWeRead(string to, bool curves, string filter)
    {
        CorrectionFile written = await ConvertAsync(await SourceAsync("mixing.cube"), to, curves: curves);
        CodeRgb[] colours = LutOracles.Colours(17), theirs = LutOracles.FfmpegFilter(filter, colours, _folder.FullPath);
        for (int i = 0; i < colours.Length; i++)
        {
            Near(theirs[i], written.Apply(colours[i]), SameColours, colours[i]);
        }
    }

    // Source: FFmpeg's haldclut on packed 16-bit pixels.
    [Fact]
    public async Task Convert_HaldPictureThroughFfmpeg_GivesTheTablesColours()
    {
        CorrectionFile written = await ConvertAsync(await SourceAsync("mixing.cube"), "hald.png", size: 36);
        CodeRgb[] colours = LutOracles.Colours(36)[..2000];
        byte[] words = MemoryMarshal.AsBytes([.. colours.SelectMany(c => new[] { c.R, c.G, c.B }).Select(v => (ushort)Math.Round(v * 65535))]).ToArray();
        byte[] output = ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "rawvideo", "-pix_fmt", "rgb48le", "-s", $"{colours.Length}x1", "-i", "pipe:0", "-i", "hald.png",
                "-filter_complex", "[1]format=rgb48le[h];[0][h]haldclut=interp=tetrahedral", "-f", "rawvideo", "-pix_fmt", "rgb48le", "-frames:v", "1", "pipe:1",
            ],
            words, _folder.FullPath);
        ushort[] theirs = MemoryMarshal.Cast<byte, ushort>(output).ToArray();
        for (int i = 0; i < colours.Length; i++)
        {
            Near(new CodeRgb(theirs[3 * i] / 65535.0, theirs[(3 * i) + 1] / 65535.0, theirs[(3 * i) + 2] / 65535.0), written.Apply(colours[i]), SameColours, colours[i]);
        }
    }

    // Source: FFmpeg's haldclutsrc draws the identity; negating the picture negates the table.
    [Theory]
    [InlineData("format=rgb24,negate", true, 1.0 / 255)]
    [InlineData("format=rgb48", false, 1.0 / 65535)]
    public async Task Read_HaldPictureDrawnByFfmpeg_IsItsFunction(string drawn, bool negated, double codeStep)
    {
        string path = _folder.PathOf("drawn.png");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", $"haldclutsrc=level=5,{drawn}", "-frames:v", "1", path]);
        CorrectionFile read = await LutFiles.ReadAsync(path, TestContext.Current.CancellationToken);
        Assert.Equal(25, read.Nodes);
        foreach (CodeRgb c in LutOracles.Colours(25))
        {
            // It cuts off instead of rounding: up to one code.
            Near(negated ? new CodeRgb(1 - c.R, 1 - c.G, 1 - c.B) : c, read.Apply(c), 1.05 * codeStep, c);
        }
    }

    [Fact]
    public async Task Read_PictureThatIsNoHald_IsRefusedInASentence()
    {
        string path = _folder.PathOf("photo.png");
        ExternalTool.Ffmpeg().Run(["-v", "error", "-f", "lavfi", "-i", "testsrc=s=320x180", "-frames:v", "1", path]);
        UnusableInputException e = await Assert.ThrowsAsync<UnusableInputException>(() => LutFiles.ReadAsync(path, TestContext.Current.CancellationToken));
        Assert.Contains("not a Hald picture: it has 320 x 180 pixels", e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Convert_TableOfACdl_FindsItsNumbersAgain()
    {
        CorrectionFile table = await ConvertAsync(await SourceAsync("numbers.cdl"), "baked.cube", size: 65);
        CdlNumbers found = (await ConvertAsync(table, "found.cdl")).Cdl!;
        Assert.Equal([s_numbers.Slope.R, s_numbers.Slope.G, s_numbers.Slope.B], [found.Slope.R, found.Slope.G, found.Slope.B], (a, b) => Math.Abs(a - b) < 0.01);
        Assert.Equal([s_numbers.Offset.R, s_numbers.Offset.G, s_numbers.Offset.B], [found.Offset.R, found.Offset.G, found.Offset.B], (a, b) => Math.Abs(a - b) < 0.005);
        Assert.Equal([s_numbers.Power.R, s_numbers.Power.G, s_numbers.Power.B], [found.Power.R, found.Power.G, found.Power.B], (a, b) => Math.Abs(a - b) < 0.01);
        Assert.Equal(s_numbers.Saturation, found.Saturation, 0.01);
    }

    [Fact]
    public async Task Convert_ToACdlOfWhatACdlCannotHold_SaysItsCostAndKeepsIt()
    {
        CorrectionFile from = await SourceAsync("mixing.cube");
        ConvertedCorrection done = LutConversion.Convert(from, _folder.PathOf("a.cdl"), null, false, SignalEncoding.Bt709, false, TestContext.Current.CancellationToken);
        CdlNumbers numbers = (await LutFiles.ReadAsync(_folder.PathOf("a.cdl"), TestContext.Current.CancellationToken)).Cdl!;
        // Computed again over colours of its own, evenly spread (chroma up to 50 as it says).
        Random random = new(7);
        List<double> cost = [];
        for (int i = 0; i < 4000; i++)
        {
            CodeRgb c = new(random.NextDouble(), random.NextDouble(), random.NextDouble());
            Lab exact = SignalEncoding.Bt709.ToLab(from.Apply(c).Clamped());
            if (exact.Chroma <= 50)
            {
                cost.Add(Tonematch.Colour.DeltaE.DeltaE2000.Between(exact, SignalEncoding.Bt709.ToLab(numbers.Apply(c))));
            }
        }

        double said = double.Parse(System.Text.RegularExpressions.Regex.Match(done.Notes[0], @"costs ([\d.]+) Delta E").Groups[1].ValueSpan, System.Globalization.CultureInfo.InvariantCulture);
        Assert.Equal(cost.Average(), said, 0.1 * said);
        Assert.True(said > 0.5, done.Notes[0]);
    }

    [Fact]
    public async Task Convert_ToCurves_KeepsEveryGreyAndNothingElseIsPromised()
    {
        CorrectionFile from = await SourceAsync("mixing.cube"), curves = await ConvertAsync(from, "c.cube", curves: true);
        for (int i = 0; i <= 255; i++)
        {
            Near(from.Apply(CodeRgb.Grey(i / 255.0)), curves.Apply(CodeRgb.Grey(i / 255.0)), 2e-5, CodeRgb.Grey(i / 255.0));
        }
    }

    [Theory]
    [InlineData("c.png", true, "Curves are written as .cube or .clf")]
    [InlineData("c.txt", false, "an ending that cannot be written")]
    [InlineData("mixing.cube", false, "never overwritten")]
    public async Task Convert_WhatCannotBe_IsRefusedInASentence(string to, bool curves, string sentence)
    {
        CorrectionFile from = await SourceAsync("mixing.cube");
        UnusableInputException e = Assert.Throws<UnusableInputException>(() =>
            LutConversion.Convert(from, _folder.PathOf(to), null, curves, SignalEncoding.Bt709, true, TestContext.Current.CancellationToken));
        Assert.Contains(sentence, e.Message, StringComparison.Ordinal);
    }

    [Fact]
    public async Task Convert_NodesOutsideTheRangeToAPicture_SaysHowMany()
    {
        Lut3D over = Lut3D.FromFunction(16, c => new CodeRgb(1.2 * c.R, c.G, c.B));
        string path = _folder.PathOf("over.cube");
        File.WriteAllText(path, LutOracles.CubeText(over));
        CorrectionFile from = await LutFiles.ReadAsync(path, TestContext.Current.CancellationToken);
        ConvertedCorrection done = LutConversion.Convert(from, _folder.PathOf("over.png"), null, false, SignalEncoding.Bt709, false, TestContext.Current.CancellationToken);
        // 1.2 i / 15 is above 1 for i = 13, 14, 15.
        Assert.Contains($"{3 * 16 * 16} of its {16 * 16 * 16} nodes lie outside 0..1, by up to 0.200", done.Notes[1], StringComparison.Ordinal);
    }

    private async Task<CorrectionFile> ConvertAsync(CorrectionFile from, string to, int? size = null, bool curves = false)
    {
        LutConversion.Convert(from, _folder.PathOf(to), size, curves, SignalEncoding.Bt709, false, TestContext.Current.CancellationToken);
        return await LutFiles.ReadAsync(_folder.PathOf(to), TestContext.Current.CancellationToken);
    }

    private async Task<CorrectionFile> SourceAsync(string name)
    {
        static CodeRgb Mixing(CodeRgb c) => new(Math.Pow((0.9 * c.R) + (0.1 * c.G), 0.9), (0.85 * c.G) + (0.1 * c.B) + 0.02, (0.8 * c.B) + (0.15 * c.R * c.R));
        string[] Rows(int n, Func<double, CodeRgb> row) => [.. Enumerable.Range(0, n).Select(i => row(i / (n - 1.0))).Select(c => FormattableString.Invariant($"{c.R:F6} {c.G:F6} {c.B:F6}"))];
        Lut3D mixing = Lut3D.FromFunction(17, Mixing);
        string[] table = [.. LutOracles.CubeText(mixing).Split('\n').Where(l => l.Length > 0 && (char.IsAsciiDigit(l[0]) || l[0] == '-'))];
        string[] curve = Rows(33, x => new CodeRgb(Math.Sqrt(x), x * x, Math.Pow(x, 0.8)));
        string path = _folder.PathOf(name);
        using (StringWriter cdl = new())
        {
            CdlFormat.Write(cdl, CdlFileKind.DecisionList, s_numbers with { Id = "tonematch" });
            File.WriteAllText(path, name switch
            {
                "mixing.cube" => LutOracles.CubeText(mixing),
                "shaped.cube" => string.Join('\n', ["LUT_1D_SIZE 33", "LUT_3D_SIZE 17", .. curve, .. table]),
                "domain.cube" => string.Join('\n', ["LUT_3D_SIZE 17", "DOMAIN_MIN -0.1 0 0.05", "DOMAIN_MAX 1.2 1 0.95", .. table]),
                "curve.cube" => string.Join('\n', ["LUT_1D_SIZE 33", .. curve]),
                _ => cdl.ToString(),
            });
        }

        return await LutFiles.ReadAsync(path, TestContext.Current.CancellationToken);
    }

    private static void Near(CodeRgb expected, CodeRgb actual, double tolerance, CodeRgb at) => Assert.True(
        Math.Max(Math.Abs(expected.R - actual.R), Math.Max(Math.Abs(expected.G - actual.G), Math.Abs(expected.B - actual.B))) <= tolerance,
        $"{expected} expected, {actual} found, at {at}");
}
