using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Luts.Tables;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Core.Tests.Luts.Tables;

public class HaldPictureTests
{
    [Theory]
    [InlineData(2)]
    [InlineData(3)]
    [InlineData(4)]
    public void FromLut_ThenToLut_GivesBackEveryNode(int level)
    {
        Lut3D lut = MadeTables.Random(level * level, level);
        Picture hald = HaldPicture.FromLut(lut, SignalEncoding.Bt709, level);
        Assert.Equal((level * level * level, level * level * level), (hald.Width, hald.Height));
        Assert.Equal(lut.Nodes, HaldPicture.ToLut(hald, "a.png").Nodes);
    }

    [Fact]
    public void FromLut_OtherSizeOrDomain_IsTheSameFunctionAtTheNewNodes()
    {
        Lut3D lut = new(5, MadeTables.Random(5, 2).Nodes.ToArray(), CodeRgb.Grey(-0.5), CodeRgb.Grey(1.5));
        Lut3D read = HaldPicture.ToLut(HaldPicture.FromLut(lut, SignalEncoding.Bt709, 3), "a.png");
        CodeRgb at = read.InputOf(2, 7, 4), expected = LutInterpolation.Tetrahedral(lut, at);
        Assert.Equal(expected.G, read.Node(2, 7, 4).G, 1e-6);
    }

    [Theory]
    [InlineData(512, 511)]
    [InlineData(100, 100)]
    [InlineData(1, 1)]
    public void ToLut_OtherSizes_AreRefused(int width, int height)
    {
        float[] plane = new float[width * height];
        Picture picture = new(width, height, plane, plane, plane, SignalEncoding.Srgb);
        Assert.Contains("not a Hald picture", Assert.Throws<UnusableInputException>(() => HaldPicture.ToLut(picture, "a.png")).Message, StringComparison.Ordinal);
    }

    // Source: FFmpeg's haldclutsrc, the identity as it lays it out.
    [Fact]
    public void FromLut_Identity_IsFfmpegsIdentityPicture()
    {
        byte[] raw = ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-f", "lavfi", "-i", "haldclutsrc=level=4", "-frames:v", "1", "-f", "rawvideo", "-pix_fmt", "rgb24", "pipe:1"]);
        Picture ours = HaldPicture.FromLut(Lut3D.Identity(16), SignalEncoding.Srgb, 4);
        Assert.Equal(3 * ours.R.Length, raw.Length);
        for (int i = 0; i < ours.R.Length; i++)
        {
            // It cuts off instead of rounding: up to one code.
            Assert.True(Math.Abs((ours.R[i] * 255) - raw[3 * i]) < 1 && Math.Abs((ours.G[i] * 255) - raw[(3 * i) + 1]) < 1 && Math.Abs((ours.B[i] * 255) - raw[(3 * i) + 2]) < 1);
        }
    }

    // Source: FFmpeg's haldclut, which must make of a table's picture what lut3d makes of the table.
    [Fact]
    public void FromLut_ThroughFfmpegsHaldclut_GivesTheTablesColours()
    {
        const int level = 4;
        Lut3D lut = Lut3D.FromFunction(level * level, c => new CodeRgb(Math.Sqrt(c.R), (0.7 * c.G) + (0.2 * c.R), 1 - c.B));
        Picture hald = HaldPicture.FromLut(lut, SignalEncoding.Bt709, level);
        CodeRgb[] colours = LutOracles.Colours(16)[..1000];
        using TempFolder folder = new();
        File.WriteAllBytes(folder.PathOf("hald.raw"), Words([.. hald.R.ToArray().SelectMany((r, i) => new[] { r, hald.G[i], hald.B[i] })]));
        byte[] output = ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "rawvideo", "-pix_fmt", "rgb48le", "-s", $"{colours.Length}x1", "-i", "pipe:0",
                "-f", "rawvideo", "-pix_fmt", "rgb48le", "-s", $"{hald.Width}x{hald.Height}", "-i", "hald.raw",
                "-filter_complex", "[0][1]haldclut=interp=tetrahedral", "-f", "rawvideo", "-pix_fmt", "rgb48le", "-frames:v", "1", "pipe:1",
            ],
            Words([.. colours.SelectMany(c => new[] { (float)c.R, (float)c.G, (float)c.B })]), folder.FullPath);
        ushort[] result = MemoryMarshal.Cast<byte, ushort>(output).ToArray();
        for (int i = 0; i < colours.Length; i++)
        {
            CodeRgb expected = LutInterpolation.Tetrahedral(lut, colours[i]);
            // 16-bit rounding of input (times the largest slope, 4 here at sqrt's first cell), of nodes and of output.
            Assert.Equal(expected.R, result[3 * i] / 65535.0, 6e-5);
            Assert.Equal(expected.G, result[(3 * i) + 1] / 65535.0, 4e-5);
            Assert.Equal(expected.B, result[(3 * i) + 2] / 65535.0, 4e-5);
        }

        static byte[] Words(float[] values) =>
            MemoryMarshal.AsBytes<ushort>([.. values.Select(v => (ushort)Math.Round(v * 65535.0))]).ToArray();
    }
}
