using System.Buffers.Binary;
using System.Text.Json;
using Tonematch.Colour;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class StillPictureTests : IDisposable
{
    private readonly TempFolder _folder = new();

    public void Dispose() => _folder.Dispose();

    [Theory]
    [InlineData("a.png", "rgb24")]
    [InlineData("a.png", "rgba")]
    [InlineData("a.png", "rgb48be")]
    [InlineData("a.tif", "rgb24")]
    [InlineData("a.tiff", "rgb48le")]
    [InlineData("a.bmp", "bgr24")]
    [InlineData("a.webp", "bgra")]
    public async Task Grab_LosslessPicture_GivesItsValues(string name, string format)
    {
        bool deep = format.Contains("48", StringComparison.Ordinal);
        PngFile.Write(_folder.PathOf("truth.png"), Gradient(40, 30), deep ? 16 : 8);
        Picture truth = PngFile.ReadOwn(_folder.PathOf("truth.png"), SignalEncoding.Srgb);
        string[] options = name.EndsWith("webp", StringComparison.Ordinal) ? ["-lossless", "1"] : [];
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf("truth.png"), "-pix_fmt", format, .. options, _folder.PathOf(name)]);
        (ClipInfo clip, Picture picture) = await GrabAsync(name);
        Assert.True(clip.IsStillImage);
        Assert.Same(SignalEncoding.Srgb, clip.Encoding);
        Assert.Contains(clip.Assumptions, a => a.Contains("sRGB is assumed", StringComparison.Ordinal));
        AssertClose(truth, picture, 1e-6);
    }

    [Fact]
    public async Task Grab_Jpeg_EqualsAnIndependentDecoder()
    {
        // OpenCV decodes with libjpeg; chroma interpolation and rounding differ by a few codes at edges only.
        string photo = SharedData.Require("photos/chart-daylight-carpet.jpg");
        ExternalTool python = ExternalTool.Python("cv2");
        string png = _folder.PathOf("opencv.png");
        python.Run(["-c", "import cv2,sys; cv2.imwrite(sys.argv[2], cv2.imread(sys.argv[1], cv2.IMREAD_COLOR))", photo, png]);
        Picture expected = PngFile.ReadOwn(png, SignalEncoding.Srgb);
        ClipInfo clip = await ClipProbe.ProbeAsync(photo, TestContext.Current.CancellationToken);
        Picture picture = (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture;
        Assert.Equal((expected.Width, expected.Height), (picture.Width, picture.Height));
        double sum = 0, bias = 0;
        for (int i = 0; i < expected.R.Length; i++)
        {
            foreach (float d in (float[])[Limited(picture.R[i]) - expected.R[i], Limited(picture.G[i]) - expected.G[i], Limited(picture.B[i]) - expected.B[i]])
            {
                sum += Math.Abs(d);
                bias += d;
            }
        }

        int n = 3 * expected.R.Length;
        Assert.True(sum / n < 0.8 / 255, $"mean difference {255 * sum / n} codes");
        Assert.True(Math.Abs(bias / n) < 0.1 / 255, $"bias {255 * bias / n} codes");

        // OpenCV's picture ends at black and white; ours goes beyond.
        static float Limited(float v) => Math.Clamp(v, 0, 1);
    }

    // The eight values of EXIF's Orientation, as FFmpeg's own filters turn the same picture.
    [Theory]
    [InlineData(2, "hflip")]
    [InlineData(3, "hflip,vflip")]
    [InlineData(4, "vflip")]
    [InlineData(5, "transpose=cclock_flip")]
    [InlineData(6, "transpose=clock")]
    [InlineData(7, "transpose=clock_flip")]
    [InlineData(8, "transpose=cclock")]
    public async Task Grab_ExifOrientation_StandsUpright(int orientation, string filter)
    {
        Picture stored = Gradient(40, 30);
        PngFile.Write(_folder.PathOf("stored.png"), stored, 8);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf("stored.png"), "-vf", filter, _folder.PathOf("upright.png")]);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf("stored.png"), "-pix_fmt", "yuvj444p", "-q:v", "1", _folder.PathOf("bare.jpg")]);
        File.WriteAllBytes(_folder.PathOf("turned.jpg"), WithSegment(File.ReadAllBytes(_folder.PathOf("bare.jpg")), 0xE1, Exif(orientation)));
        (ClipInfo clip, Picture picture) = await GrabAsync("turned.jpg");
        Assert.Equal((Orientation)orientation, clip.Orientation);
        AssertClose(PngFile.ReadOwn(_folder.PathOf("upright.png"), SignalEncoding.Srgb), picture, 6.0 / 255);
    }

    [Fact]
    public void KnownProfiles_AreThePrimariesAdaptedByBradford()
    {
        // The Bradford D65 to D50 matrix of the test data, on the standards' primaries: what such profiles must hold.
        using JsonDocument json = JsonDocument.Parse(File.ReadAllText(SharedData.Require("reference-values/matrices.json")));
        Matrix3 adapt = FindMatrix(json.RootElement, "bradford_D65_to_D50");
        foreach ((SignalEncoding encoding, double[] colorants) in IccProfile.Known)
        {
            for (int c = 0; c < 3; c++)
            {
                (double x, double y, double z) = encoding.RgbToXyz.Times(c == 0 ? 1 : 0, c == 1 ? 1 : 0, c == 2 ? 1 : 0);
                (x, y, z) = adapt.Times(x, y, z);
                Assert.Equal(x, colorants[3 * c], 5e-4);
                Assert.Equal(y, colorants[(3 * c) + 1], 5e-4);
                Assert.Equal(z, colorants[(3 * c) + 2], 5e-4);
            }
        }
    }

    // Profiles written by Little CMS through Pillow's or transicc's library would do too; here the phone kind is built
    // by hand after ISO 15076-1: header, tag table, XYZ and 'para' tags.
    [Theory]
    [InlineData("display-p3")]
    [InlineData("srgb")]
    public async Task Probe_JpegWithProfile_TakesItsEncoding(string encoding)
    {
        byte[] profile = Profile(IccProfile.Known.First(k => k.Encoding.Name == encoding).Colorants, "A profile");
        PngFile.Write(_folder.PathOf("p.png"), Gradient(40, 30), 8);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf("p.png"), _folder.PathOf("bare.jpg")]);
        byte[] segment = [.. "ICC_PROFILE\0"u8, 1, 1, .. profile];
        File.WriteAllBytes(_folder.PathOf("p.jpg"), WithSegment(File.ReadAllBytes(_folder.PathOf("bare.jpg")), 0xE2, segment));
        ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf("p.jpg"), TestContext.Current.CancellationToken);
        Assert.Equal(encoding, clip.Encoding.Name);
        Assert.Equal("A profile", clip.IccProfile);
        Assert.Empty(clip.Assumptions);
    }

    [Fact]
    public async Task Probe_JpegWithUnknownProfile_SaysSRgbIsAssumed()
    {
        // Primaries of a wide photographic space: none of ours.
        byte[] profile = Profile([0.6097, 0.3111, 0.0195, 0.2053, 0.6257, 0.0609, 0.1492, 0.0632, 0.7446], "Wide");
        PngFile.Write(_folder.PathOf("p.png"), Gradient(40, 30), 8);
        ExternalTool.Ffmpeg().Run(["-v", "error", "-i", _folder.PathOf("p.png"), _folder.PathOf("bare.jpg")]);
        File.WriteAllBytes(_folder.PathOf("p.jpg"), WithSegment(File.ReadAllBytes(_folder.PathOf("bare.jpg")), 0xE2, [.. "ICC_PROFILE\0"u8, 1, 1, .. profile]));
        ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf("p.jpg"), TestContext.Current.CancellationToken);
        Assert.Same(SignalEncoding.Srgb, clip.Encoding);
        Assert.Contains(clip.Assumptions, a => a.Contains("'Wide'", StringComparison.Ordinal));
    }

    [Fact]
    public void StillMetadata_AnyBytes_AreReadWithoutFault()
    {
        // Good files with bytes changed, cut and repeated: whatever they claim, the scanner returns.
        PngFile.Write(_folder.PathOf("p.png"), Gradient(8, 8), 8);
        byte[] profile = Profile(IccProfile.Known[0].Colorants, "x");
        byte[] jpeg = WithSegment(WithSegment([0xFF, 0xD8, 0xFF, 0xD9, .. new byte[20]], 0xE2, [.. "ICC_PROFILE\0"u8, 1, 1, .. profile]), 0xE1, Exif(6));
        byte[] webp = [.. "RIFF"u8, 0, 0, 0, 0, .. "WEBPICCP"u8, .. BitConverter.GetBytes(profile.Length), .. profile];
        byte[] tiff = Exif(3)[6..];
        byte[] heif = [0, 0, 0, 16, .. "ftypheic"u8, 0, 0, 0, 0, 0, 0, 1, 0, .. "colrprof"u8, .. profile];
        Random random = new(7);
        foreach (byte[] good in (byte[][])[File.ReadAllBytes(_folder.PathOf("p.png")), jpeg, webp, tiff, heif, profile])
        {
            for (int i = 0; i < 4000; i++)
            {
                byte[] bad = good[..random.Next(good.Length + 1)];
                for (int k = random.Next(6); k > 0 && bad.Length > 0; k--)
                {
                    bad[random.Next(bad.Length)] = random.Next(3) == 0 ? (byte)255 : (byte)random.Next(256);
                }

                StillMetadata.Read(bad);
                IccProfile.Read(bad);
            }
        }
    }

    private async Task<(ClipInfo Clip, Picture Picture)> GrabAsync(string name)
    {
        ClipInfo clip = await ClipProbe.ProbeAsync(_folder.PathOf(name), TestContext.Current.CancellationToken);
        return (clip, (await FrameReader.GrabAsync(clip, [0], TestContext.Current.CancellationToken))[0].Picture);
    }

    private static Picture Gradient(int width, int height)
    {
        float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
        for (int i = 0; i < r.Length; i++)
        {
            (r[i], g[i], b[i]) = ((i % width) / (float)(width - 1), i / (float)(r.Length - 1), 0.3f);
        }

        return new Picture(width, height, r, g, b, SignalEncoding.Srgb);
    }

    private static void AssertClose(Picture a, Picture b, double tolerance)
    {
        Assert.Equal((a.Width, a.Height), (b.Width, b.Height));
        for (int i = 0; i < a.R.Length; i++)
        {
            Assert.Equal(a.R[i], b.R[i], tolerance);
            Assert.Equal(a.G[i], b.G[i], tolerance);
            Assert.Equal(a.B[i], b.B[i], tolerance);
        }
    }

    private static byte[] WithSegment(byte[] jpeg, byte marker, byte[] body) =>
        [0xFF, 0xD8, 0xFF, marker, (byte)((body.Length + 2) >> 8), (byte)(body.Length + 2), .. body, .. jpeg[2..]];

    private static byte[] Exif(int orientation) =>
        [.. "Exif\0\0MM\0*"u8, 0, 0, 0, 8, 0, 1, 0x01, 0x12, 0, 3, 0, 0, 0, 1, 0, (byte)orientation, 0, 0, 0, 0, 0, 0];

    private static byte[] Profile(double[] colorants, string name)
    {
        List<byte> data = [];
        List<(string Signature, int Offset, int Size)> tags = [];
        const int start = 128 + 4 + (12 * 5);
        void Add(string signature, byte[] body)
        {
            tags.Add((signature, start + data.Count, body.Length));
            data.AddRange(body);
        }

        static byte[] Fixed(double v)
        {
            byte[] b = new byte[4];
            BinaryPrimitives.WriteInt32BigEndian(b, (int)Math.Round(v * 65536));
            return b;
        }

        static byte[] U32(int v)
        {
            byte[] b = new byte[4];
            BinaryPrimitives.WriteInt32BigEndian(b, v);
            return b;
        }

        byte[] text = System.Text.Encoding.BigEndianUnicode.GetBytes(name);
        Add("desc", [.. "mluc\0\0\0\0"u8, .. U32(1), .. U32(12), .. "enUS"u8, .. U32(text.Length), .. U32(28), .. text]);
        for (int c = 0; c < 3; c++)
        {
            Add("rgb"[c] + "XYZ", [.. "XYZ \0\0\0\0"u8, .. Fixed(colorants[3 * c]), .. Fixed(colorants[(3 * c) + 1]), .. Fixed(colorants[(3 * c) + 2])]);
        }

        // IEC 61966-2-1 as parametric curve, kind 3.
        Add("rTRC", [.. "para\0\0\0\0"u8, 0, 3, 0, 0, .. Fixed(2.4), .. Fixed(1 / 1.055), .. Fixed(0.055 / 1.055), .. Fixed(1 / 12.92), .. Fixed(0.04045)]);
        byte[] header = new byte[128];
        "RGB "u8.CopyTo(header.AsSpan(16));
        "acsp"u8.CopyTo(header.AsSpan(36));
        return [.. header, .. U32(tags.Count), .. tags.SelectMany(t => (byte[])[.. System.Text.Encoding.ASCII.GetBytes(t.Signature), .. U32(t.Offset), .. U32(t.Size)]), .. data];
    }

    private static Matrix3 FindMatrix(JsonElement root, params string[] words)
    {
        foreach (JsonProperty p in Walk(root))
        {
            if (words.All(w => p.Name.Contains(w, StringComparison.OrdinalIgnoreCase)))
            {
                double[] m = [.. p.Value.GetProperty("matrix").EnumerateArray().SelectMany(r => r.EnumerateArray()).Select(v => v.GetDouble())];
                return new Matrix3(m[0], m[1], m[2], m[3], m[4], m[5], m[6], m[7], m[8]);
            }
        }

        throw new InvalidOperationException("the matrix is not in the test data");
    }

    private static IEnumerable<JsonProperty> Walk(JsonElement e) => e.ValueKind != JsonValueKind.Object
        ? []
        : e.EnumerateObject().SelectMany(p => (IEnumerable<JsonProperty>)[p, .. Walk(p.Value)]);
}
