using CsCheck;
using Tonematch.Colour;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Files;

public sealed class PngFileTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData(8, 255)]
    [InlineData(16, 65535)]
    public void WriteRead_AnyPicture_ReturnsItsValuesRounded(int bits, int max)
    {
        int number = 0;
        Gen.Select(Gen.Int[1, 9], Gen.Int[1, 9], Gen.Float[-0.2f, 1.2f].Array[243]).Sample((width, height, values) =>
        {
            int n = width * height;
            Picture picture = new(width, height, values[..n], values[81..(81 + n)], values[162..(162 + n)], SignalEncoding.Srgb);
            string path = _folder.PathOf($"{Interlocked.Increment(ref number)}.png");
            PngFile.Write(path, picture, bits);
            Picture back = PngFile.ReadOwn(path, SignalEncoding.Srgb);
            for (int i = 0; i < n; i++)
            {
                Assert.Equal(Math.Clamp(picture.R[i], 0, 1), back.R[i], (0.5 / max) + 1e-6);
                Assert.Equal(Math.Clamp(picture.G[i], 0, 1), back.G[i], (0.5 / max) + 1e-6);
                Assert.Equal(Math.Clamp(picture.B[i], 0, 1), back.B[i], (0.5 / max) + 1e-6);
            }
        }, iter: 40);
    }

    [Fact]
    public async Task Write_SixteenBit_IsReadTheSameByFfmpeg()
    {
        float[] plane = [.. Enumerable.Range(0, 64 * 4).Select(i => i / 255f)];
        Picture picture = new(64, 4, plane, [.. plane.Reverse()], plane, SignalEncoding.Srgb);
        PngFile.Write(_folder.PathOf("a.png"), picture);
        ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf("a.png"), TestContext.Current.CancellationToken);
        Picture read = (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture;
        Assert.Equal(16, clip.BitDepth);
        for (int i = 0; i < plane.Length; i++)
        {
            Assert.Equal(picture.G[i], read.G[i], 1e-5);
        }
    }

    [Fact]
    public void ToJpegBytes_IsAJpegOfThatSize()
    {
        byte[] jpeg = PngFile.ToJpegBytes(new Picture(5, 3, new float[15], new float[15], new float[15], SignalEncoding.Srgb), 90);
        Assert.Equal([0xFF, 0xD8, 0xFF], jpeg[..3]);
        File.WriteAllBytes(_folder.PathOf("a.jpg"), jpeg);
        string size = System.Text.Encoding.ASCII.GetString(ExternalTool.RequireProgram("ffprobe").Run(
            ["-v", "error", "-show_entries", "stream=width,height", "-of", "csv=p=0", _folder.PathOf("a.jpg")]));
        Assert.Equal("5,3", size.Trim());
    }

    [Fact]
    public void ReadOwn_NoPng_SaysSo()
    {
        File.WriteAllText(_folder.PathOf("a.png"), "no picture");
        Assert.Throws<UnusableInputException>(() => PngFile.ReadOwn(_folder.PathOf("a.png"), SignalEncoding.Srgb));
        Assert.Throws<UnusableInputException>(() => PngFile.ReadOwn(_folder.PathOf("missing.png"), SignalEncoding.Srgb));
    }
}
