using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Formats;
using Tonematch.Luts.Tables;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Formats;

public class FilterTextTests
{
    private static readonly string[] s_oddNames =
    [
        "a b.cube", " lead.cube", "q'uote.cube", "d\"ouble.cube", "co:lon.cube", "com,ma.cube", "se;mi.cube", "[br].cube", "100%d.cube",
        "ha#sh.cube", "back\\slash.cube", "e=q.cube", "{b}.cube", "pi|pe.cube", "&and.cube", "$dollar.cube", "`tick.cube", "ta\tb.cube",
        "new\nline.cube", "-dash.cube", "ümläut.cube", "日本.cube", "😀.cube", "\\':.cube", "''.cube", "a\\\\b.cube",
    ];

    [Theory]
    [InlineData("plain.cube", "plain.cube")]
    [InlineData("C:/a.cube", @"C\\:/a.cube")]
    [InlineData("it's.cube", @"it\\\'s.cube")]
    [InlineData("a,b.cube", @"a\,b.cube")]
    [InlineData(@"a\b", @"a\\\\b")]
    public void Value_SpecialCharacters_AreEscapedTwice(string text, string escaped) => Assert.Equal(escaped, FilterText.Value(text));

    [Fact]
    public void ForFfmpeg_Everything_IsWrittenOut() => Assert.Equal(
        "zscale=matrixin=170m:rangein=full:matrix=gbr:range=full,format=gbrpf32le,lut3d=file=l.cube:interp=trilinear,"
        + "zscale=matrixin=gbr:rangein=full:matrix=170m:range=full:dither=ordered,format=yuv420p",
        FilterText.ForFfmpeg("l.cube", 6, isFullRange: true, "yuv420p", LutMethod.Trilinear));

    [Fact]
    public void ForFfmpeg_UnknownMatrixOrFormat_IsTheCallersMistake()
    {
        Assert.Throws<ArgumentException>(() => FilterText.ForFfmpeg("l.cube", 2, false, "yuv420p"));
        Assert.Throws<ArgumentException>(() => FilterText.ForFfmpeg("l.cube", 1, false, "yuv420p,negate"));
    }

    // FFmpeg opens every name: one process, a chain of identities, so that one that fails fails all.
    [Fact]
    public void Lut_OddNames_AreAllOpenedByFfmpeg()
    {
        Assert.SkipWhen(OperatingSystem.IsWindows(), "some of these names cannot exist there");
        using TempFolder folder = new();
        foreach (string name in s_oddNames)
        {
            File.WriteAllText(folder.PathOf(name), LutOracles.CubeText(Lut3D.Identity(2)));
        }

        CodeRgb[] colours = LutOracles.Colours(5)[..64];
        CodeRgb[] result = LutOracles.FfmpegFilter(string.Join(',', s_oddNames.Select(n => FilterText.Lut(n))), colours, folder.FullPath);
        Assert.All(colours.Zip(result), p => Assert.Equal(p.First.G, p.Second.G, 1e-5));
    }

    // The whole filter on 10-bit 4:4:4 against the equations of BT.709: half a code by rounding, another half by
    // ordered dither.
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void ForFfmpeg_RunByFfmpeg_GivesTheLutsColoursToOneCode(bool fullRange)
    {
        Lut3D lut = Lut3D.FromFunction(17, c => new CodeRgb((0.9 * c.R) + 0.03, Math.Pow(c.G, 0.9), 0.05 + (0.85 * c.B)));
        CodeRgb[] colours = [.. LutOracles.Colours(9)[..576]];
        (double ky, double oy, double kc) = fullRange ? (1023.0, 0.0, 1023.0) : (876, 64, 896);
        ushort[] planes = new ushort[3 * colours.Length];
        for (int i = 0; i < colours.Length; i++)
        {
            (double y, double cb, double cr) = ToYcc(colours[i]);
            planes[i] = (ushort)Math.Round(oy + (ky * y));
            planes[colours.Length + i] = (ushort)Math.Clamp(Math.Round(512 + (kc * cb)), 0, 1023);
            planes[(2 * colours.Length) + i] = (ushort)Math.Clamp(Math.Round(512 + (kc * cr)), 0, 1023);
        }

        using TempFolder folder = new();
        File.WriteAllText(folder.PathOf("l.cube"), LutOracles.CubeText(lut));
        byte[] output = ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "rawvideo", "-pix_fmt", "yuv444p10le", "-s", $"{colours.Length}x1", "-i", "pipe:0",
                "-vf", FilterText.ForFfmpeg("l.cube", 1, fullRange, "yuv444p10le"), "-f", "rawvideo", "-pix_fmt", "yuv444p10le", "pipe:1",
            ],
            MemoryMarshal.AsBytes(planes.AsSpan()).ToArray(), folder.FullPath);
        ushort[] result = MemoryMarshal.Cast<byte, ushort>(output).ToArray();
        for (int i = 0; i < colours.Length; i++)
        {
            double y = (planes[i] - oy) / ky, cb = (planes[colours.Length + i] - 512) / kc, cr = (planes[(2 * colours.Length) + i] - 512) / kc;
            // ITU-R BT.709 item 3.2: Y' = 0.2126 R' + 0.7152 G' + 0.0722 B', Cb = (B' - Y') / 1.8556, Cr = (R' - Y') / 1.5748.
            double r = y + (1.5748 * cr), b = y + (1.8556 * cb), g = (y - (0.2126 * r) - (0.0722 * b)) / 0.7152;
            (double ey, double ecb, double ecr) = ToYcc(LutInterpolation.Tetrahedral(lut, new CodeRgb(r, g, b)));
            Assert.True(
                Math.Abs(oy + (ky * ey) - result[i]) < 1.05
                && Math.Abs(512 + (kc * ecb) - result[colours.Length + i]) < 1.05
                && Math.Abs(512 + (kc * ecr) - result[(2 * colours.Length) + i]) < 1.05,
                $"{colours[i]}");
        }

        static (double Y, double Cb, double Cr) ToYcc(CodeRgb c)
        {
            double y = (0.2126 * c.R) + (0.7152 * c.G) + (0.0722 * c.B);
            return (y, (c.B - y) / 1.8556, (c.R - y) / 1.5748);
        }
    }
}
