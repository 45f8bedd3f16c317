using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Media.Tests.Frames;

public sealed class YcbcrToRgbTests
{
    // Float arithmetic on values up to about 2: a few units in the last place. In 8-bit codes: 0.0001.
    private const double FloatRounding = 5e-7;

    // 4:4:4, so no interpolation: every converted colour against the equations of BT.709-6 (items 3.2 to 3.5),
    // BT.601-7 and BT.2020-2 (table 4), solved for R'G'B' in double precision.
    [Theory]
    [InlineData("yuv444p", 1, SignalRange.Limited)]
    [InlineData("yuv444p", 6, SignalRange.Limited)]
    [InlineData("yuvj444p", 5, SignalRange.Full)]
    [InlineData("yuv444p10le", 9, SignalRange.Limited)]
    [InlineData("yuv444p12le", 1, SignalRange.Full)]
    [InlineData("yuv444p16le", 9, SignalRange.Limited)]
    public void Convert_RandomCodes_MeetTheStandardsEquations(string format, int matrix, SignalRange range)
    {
        PixelLayout layout = PixelLayout.Find(format)!;
        const int width = 37, height = 29;
        Random random = new(5);
        int max = (1 << layout.Bits) - 1;
        int[][] codes = [.. Enumerable.Range(0, 3).Select(_ => Enumerable.Range(0, width * height).Select(_ => random.Next(max + 1)).ToArray())];
        byte[] frame = Pack(codes, layout);
        YcbcrToRgb convert = new(layout, width, height, matrix, range, 0, 0);
        float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
        convert.Convert(frame, r, g, b);

        (double kr, double kb) = matrix switch { 1 => (0.2126, 0.0722), 9 => (0.2627, 0.0593), _ => (0.299, 0.114) };
        double scale = 1 << (layout.Bits - 8), worst = 0;
        for (int i = 0; i < r.Length; i++)
        {
            double y, cb, cr;
            if (range == SignalRange.Limited)
            {
                (y, cb, cr) = (((codes[0][i] / scale) - 16) / 219, ((codes[1][i] / scale) - 128) / 224, ((codes[2][i] / scale) - 128) / 224);
            }
            else
            {
                (y, cb, cr) = (codes[0][i] / (double)max, (codes[1][i] - ((max + 1) / 2)) / (double)max, (codes[2][i] - ((max + 1) / 2)) / (double)max);
            }

            // Y' = Kr R' + Kg G' + Kb B'; Cb = (B' - Y') / (2 - 2 Kb); Cr = (R' - Y') / (2 - 2 Kr).
            double red = y + (cr * (2 - (2 * kr))), blue = y + (cb * (2 - (2 * kb)));
            double green = (y - (kr * red) - (kb * blue)) / (1 - kr - kb);
            worst = Math.Max(worst, Math.Max(Math.Abs(red - r[i]), Math.Max(Math.Abs(green - g[i]), Math.Abs(blue - b[i]))));
        }

        Assert.True(worst < FloatRounding, $"worst error {worst} of full scale");
    }

    // Each new pixel against the mean, in double precision, of the whole-size pixels it covers (whole blocks, so that
    // no share of a pixel enters): what is scaled down on the way is what would be scaled down afterwards.
    [Theory]
    [InlineData("yuv420p", 2)]
    [InlineData("yuv422p10le", 4)]
    [InlineData("yuv411p", 3)]
    [InlineData("gbrp", 5)]
    [InlineData("gray16le", 2)]
    public void ConvertSmall_WholeBlocks_IsTheirMean(string format, int factor)
    {
        PixelLayout layout = PixelLayout.Find(format)!;
        int width = 36 * factor, height = 14 * factor;
        YcbcrToRgb convert = new(layout, width, height, layout.IsYcbcr ? 1 : 0, SignalRange.Limited, 0, 0.5);
        byte[] frame = new byte[convert.FrameBytes];
        new Random(7).NextBytes(frame);
        float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
        convert.Convert(frame, r, g, b);
        (float[] R, float[] G, float[] B) small = convert.ConvertSmall(frame, 36, 14);
        foreach ((float[] plane, float[] shrunk) in (ReadOnlySpan<(float[], float[])>)[(r, small.R), (g, small.G), (b, small.B)])
        {
            for (int k = 0; k < shrunk.Length; k++)
            {
                double sum = 0;
                for (int i = 0; i < factor * factor; i++)
                {
                    sum += plane[(((k / 36 * factor) + (i / factor)) * width) + (k % 36 * factor) + (i % factor)];
                }

                // 10 bits in 16-bit words of random bytes reach 64 times white.
                Assert.Equal(sum / (factor * factor), shrunk[k], layout.Bits is > 8 and < 16 ? 1e-4 : 2e-6);
            }
        }
    }

    // Code values of EG 1, RP 219 and BT.2111 bars against their nominal R'G'B' percentages: white, yellow, cyan,
    // green, magenta, red, blue at 75 % (or the percentage in the bar's name). Codes are rounded to integers, so the
    // colours return within half a code's worth: at most 2 codes of a 10-bit limited signal.
    [Fact]
    public void Convert_ColourBarsOfTheStandards_ReturnTheirNominalColours()
    {
        Dictionary<string, (int R, int G, int B)> names = new()
        {
            ["white"] = (1, 1, 1),
            ["grey"] = (1, 1, 1),
            ["yellow"] = (1, 1, 0),
            ["cyan"] = (0, 1, 1),
            ["green"] = (0, 1, 0),
            ["magenta"] = (1, 0, 1),
            ["red"] = (1, 0, 0),
            ["blue"] = (0, 0, 1),
        };
        int checkedBars = 0;
        foreach (var row in CsvTable.Read(SharedData.Require("reference-values/colour-bars.csv")))
        {
            string[] words = row["bar"].Split(' ');
            if (row["components"] != "Y'CbCr" || words.Length != 3 || words[1] != "%" || !names.TryGetValue(words[2], out var on)
                || row["standard"].Contains("2111", StringComparison.Ordinal))
            {
                continue;
            }

            int bits = int.Parse(row["bits"], CultureInfo.InvariantCulture);
            int matrix = row["system"] switch { "BT.601" => 6, "BT.709" => 1, _ => 9 };
            double level = double.Parse(words[0], CultureInfo.InvariantCulture) / 100;
            PixelLayout layout = PixelLayout.Find(string.Create(CultureInfo.InvariantCulture, $"yuv444p{bits}le"))!;
            byte[] frame = Pack([.. ((string[])["c1", "c2", "c3"]).Select(c => (int[])[int.Parse(row[c], CultureInfo.InvariantCulture)])], layout);
            float[] r = new float[1], g = new float[1], b = new float[1];
            new YcbcrToRgb(layout, 1, 1, matrix, SignalRange.Limited, 0, 0).Convert(frame, r, g, b);
            double tolerance = 2.0 / (219 << (bits - 8));
            Assert.Equal(level * on.R, r[0], tolerance);
            Assert.Equal(level * on.G, g[0], tolerance);
            Assert.Equal(level * on.B, b[0], tolerance);
            checkedBars++;
        }

        Assert.True(checkedBars > 30, $"only {checkedBars} bars were found in the table");
    }

    // zscale (zimg) as an independent implementation of matrix, range and sited chroma interpolation.
    [Theory]
    [InlineData("yuv420p", 4, 4, "709", "limited", "left")]
    [InlineData("yuv420p", 36, 22, "170m", "limited", "center")]
    [InlineData("yuv420p", 40, 24, "709", "full", "left")]
    [InlineData("yuv420p10le", 36, 22, "2020_ncl", "limited", "topleft")]
    [InlineData("yuv422p10le", 36, 22, "709", "limited", "left")]
    [InlineData("yuv420p12le", 36, 22, "709", "limited", "bottomleft")]
    [InlineData("yuv440p", 36, 22, "709", "limited", "center")]
    [InlineData("yuv411p", 36, 22, "170m", "limited", "left")]
    public void Convert_RandomPicture_EqualsZscale(string format, int width, int height, string matrix, string range, string location)
    {
        PixelLayout layout = PixelLayout.Find(format)!;
        byte[] frame = new byte[layout.FrameBytes(width, height)];
        Random random = new(11);
        if (layout.Bits == 8)
        {
            random.NextBytes(frame);
        }
        else
        {
            foreach (ref ushort word in MemoryMarshal.Cast<byte, ushort>(frame.AsSpan()))
            {
                word = (ushort)random.Next(1 << layout.Bits);
            }
        }

        string size = string.Create(CultureInfo.InvariantCulture, $"{width}x{height}");
        byte[] expected = ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "rawvideo", "-pix_fmt", format, "-s", size, "-i", "pipe:0", "-vf",
                $"zscale=matrixin={matrix}:rangein={range}:chromalin={location}:matrix=gbr:range=full:filter=bilinear,format=gbrpf32le",
                "-f", "rawvideo", "pipe:1",
            ],
            frame);
        ReadOnlySpan<float> planes = MemoryMarshal.Cast<byte, float>(expected);
        int n = width * height;
        ChromaLocation where = location switch
        {
            "left" => ChromaLocation.Left,
            "center" => ChromaLocation.Centre,
            "topleft" => ChromaLocation.TopLeft,
            _ => ChromaLocation.BottomLeft,
        };
        (double x, double y) = YcbcrToRgb.ChromaPosition(where, layout);
        float[] r = new float[n], g = new float[n], b = new float[n];
        int code = matrix switch { "709" => 1, "170m" => 6, _ => 9 };
        new YcbcrToRgb(layout, width, height, code, range == "full" ? SignalRange.Full : SignalRange.Limited, x, y).Convert(frame, r, g, b);
        double worst = 0;
        for (int i = 0; i < n; i++)
        {
            worst = Math.Max(worst, Math.Max(Math.Abs(planes[i] - g[i]), Math.Max(Math.Abs(planes[n + i] - b[i]), Math.Abs(planes[(2 * n) + i] - r[i]))));
        }

        // zimg keeps filter weights and pixels as floats too.
        Assert.True(worst < 2e-6, $"worst difference {worst} of full scale");
    }

    // Every format that is unpacked: FFmpeg packs random planes (its way there is another piece of code than its way
    // back), and what the filter makes of them must be the same planes, to the bit.
    [Theory]
    [InlineData("nv12", "yuv420p")]
    [InlineData("nv21", "yuv420p")]
    [InlineData("nv24", "yuv444p")]
    [InlineData("nv42", "yuv444p")]
    [InlineData("p010le", "yuv420p10le")]
    [InlineData("p016le", "yuv420p16le")]
    [InlineData("p210le", "yuv422p10le")]
    [InlineData("p216le", "yuv422p16le")]
    [InlineData("p410le", "yuv444p10le")]
    [InlineData("p416le", "yuv444p16le")]
    [InlineData("yuyv422", "yuv422p")]
    [InlineData("yvyu422", "yuv422p")]
    [InlineData("uyvy422", "yuv422p")]
    [InlineData("yuv420p10be", "yuv420p10le")]
    [InlineData("yuv444p12be", "yuv444p12le")]
    [InlineData("yuva420p16be", "yuva420p16le")]
    [InlineData("gbrp12be", "gbrp12le")]
    [InlineData("rgb24", "gbrp")]
    [InlineData("bgr24", "gbrp")]
    [InlineData("rgba", "gbrp")]
    [InlineData("bgra", "gbrp")]
    [InlineData("argb", "gbrp")]
    [InlineData("abgr", "gbrp")]
    [InlineData("rgb0", "gbrp")]
    [InlineData("0bgr", "gbrp")]
    [InlineData("rgb48le", "gbrp16le")]
    [InlineData("rgb48be", "gbrp16le")]
    [InlineData("bgr48le", "gbrp16le")]
    [InlineData("rgba64le", "gbrp16le")]
    [InlineData("rgba64be", "gbrp16le")]
    [InlineData("bgra64le", "gbrp16le")]
    [InlineData("gray10be", "gray10le")]
    [InlineData("ya8", "gray")]
    [InlineData("ya16be", "gray16le")]
    public void Find_PackedFormats_AreUnpackedByFfmpegWithoutChangingANumber(string packed, string planar)
    {
        PixelLayout layout = PixelLayout.Find(packed)!;
        Assert.Equal(planar, layout.Name);
        byte[] first = new byte[layout.FrameBytes(22, 10)];
        new Random(3).NextBytes(first);
        for (int i = 1; layout.Bits is > 8 and < 16 && i < first.Length; i += 2)
        {
            first[i] &= (byte)((1 << (layout.Bits - 8)) - 1);
        }

        byte[] second = Filtered(planar, [$"format={packed}"], first);
        Assert.Equal(first, Filtered(packed, RawFrames.Unpack(packed, planar), second));

        static byte[] Filtered(string format, string[] filters, byte[] frame) => ExternalTool.Ffmpeg().Run(
            ["-v", "error", "-f", "rawvideo", "-pix_fmt", format, "-s", "22x10", "-i", "pipe:0", "-vf", string.Join(',', filters), "-f", "rawvideo", "pipe:1"], frame);
    }

    [Fact]
    public void Convert_FormatsWithAlpha_GiveThePictureWithoutIt()
    {
        foreach ((string with, string without) in new[] { ("yuva420p", "yuv420p"), ("gbrap", "gbrp") })
        {
            PixelLayout a = PixelLayout.Find(without)!, b = PixelLayout.Find(with)!;
            byte[] frame = new byte[b.FrameBytes(22, 10)];
            new Random(3).NextBytes(frame);
            Assert.Equal(Planes(a, frame[..(int)a.FrameBytes(22, 10)]), Planes(b, frame));
        }

        static float[] Planes(PixelLayout layout, byte[] frame)
        {
            float[] all = new float[3 * 220];
            new YcbcrToRgb(layout, 22, 10, layout.IsYcbcr ? 1 : 0, SignalRange.Full, 0, 0.5)
                .Convert(frame, all.AsSpan(0, 220), all.AsSpan(220, 220), all.AsSpan(440));
            return all;
        }
    }

    [Fact]
    public void Convert_CodesBeyondBlackAndWhite_AreKept()
    {
        PixelLayout layout = PixelLayout.Find("yuv444p")!;
        float[] r = new float[2], g = new float[2], b = new float[2];
        new YcbcrToRgb(layout, 2, 1, 1, SignalRange.Limited, 0, 0).Convert([4, 254, 128, 128, 128, 128], r, g, b);
        Assert.Equal((4 - 16) / 219f, g[0], 1e-6);
        Assert.Equal((254 - 16) / 219f, g[1], 1e-6);
    }

    [Theory]
    [InlineData(10)]
    [InlineData(14)]
    public void Constructor_MatrixThatNeedsLight_IsRefused(int code) =>
        Assert.Throws<NotSupportedException>(() => new YcbcrToRgb(PixelLayout.Find("yuv420p10le")!, 4, 4, code, SignalRange.Limited, 0, 0));

    private static byte[] Pack(int[][] codes, PixelLayout layout)
    {
        List<byte> bytes = [];
        foreach (int code in codes.SelectMany(c => c))
        {
            if (layout.Bits == 8)
            {
                bytes.Add((byte)code);
            }
            else
            {
                bytes.AddRange([(byte)code, (byte)(code >> 8)]);
            }
        }

        return [.. bytes];
    }
}
