using System.Globalization;
using System.Text.RegularExpressions;

namespace Tonematch.Media.Clips;

/// <summary>
/// The memory layout of a raw video frame: planes of 8-bit, 16-bit (little-endian) or floating-point samples, one after
/// the other without padding. FFmpeg unpacks other formats into the planar one with the same values.
/// </summary>
public sealed partial class PixelLayout
{
    private PixelLayout(string name, int bits, bool isYcbcr = false, bool isGrey = false, int shiftX = 0, int shiftY = 0)
    {
        (Name, IsYcbcr, IsGrey, Bits, ChromaShiftX, ChromaShiftY) = (name, isYcbcr, isGrey, bits, shiftX, shiftY);
    }

    /// <summary>FFmpeg's name for the format.</summary>
    public string Name { get; }

    /// <summary>Whether it has luma and two chroma components; otherwise R G B, or grey.</summary>
    public bool IsYcbcr { get; }

    /// <summary>Whether it has only one component.</summary>
    public bool IsGrey { get; }

    /// <summary>Significant bits per component (8..16), or 32 for floating point.</summary>
    public int Bits { get; }

    /// <summary>Whether samples are floating point, 1 = white.</summary>
    public bool IsFloat => Bits == 32;

    /// <summary>log2 of luma columns per chroma column.</summary>
    public int ChromaShiftX { get; }

    /// <summary>log2 of luma rows per chroma row.</summary>
    public int ChromaShiftY { get; }

    /// <summary>For example '4:2:0'; null for RGB and grey.</summary>
    public string? Subsampling => !IsYcbcr ? null : (ChromaShiftX, ChromaShiftY) switch
    {
        (0, 0) => "4:4:4",
        (1, 0) => "4:2:2",
        (1, 1) => "4:2:0",
        (0, 1) => "4:4:0",
        (2, 0) => "4:1:1",
        _ => "4:1:0",
    };

    internal int BytesPerSample => Bits switch { 8 => 1, 32 => 4, _ => 2 };

    // Alpha planes are stored like luma, last.
    internal int PlaneCount => IsGrey ? 1 : Name.StartsWith("yuva", StringComparison.Ordinal) || Name.StartsWith("gbrap", StringComparison.Ordinal) ? 4 : 3;

    /// <summary>
    /// Finds the layout for reading a format: its own (<see cref="Name"/> is the format), or that of the planar format
    /// into which FFmpeg must unpack it; null if there is none with the same values.
    /// </summary>
    public static PixelLayout? Find(string? pixelFormat)
    {
        string name = Unpacked(pixelFormat ?? "");
        if (PlanarYuv().Match(name) is { Success: true } yuv)
        {
            (int sx, int sy) = yuv.Groups[1].Value switch
            {
                "420" => (1, 1),
                "422" => (1, 0),
                "444" => (0, 0),
                "440" => (0, 1),
                "411" => (2, 0),
                _ => (2, 2),
            };
            return new PixelLayout(name, Depth(yuv), isYcbcr: true, shiftX: sx, shiftY: sy);
        }

        return PlanarGbr().Match(name) is { Success: true } gbr ? new PixelLayout(name, Depth(gbr))
            : Gray().Match(name) is { Success: true } gray ? new PixelLayout(name, Depth(gray), isGrey: true)
            : null;
    }

    /// <summary>Bytes of one frame.</summary>
    public long FrameBytes(int width, int height) => PlaneStart(PlaneCount, width, height);

    /// <summary>Byte offset of a plane; for the index after the last plane, the bytes of the frame.</summary>
    internal long PlaneStart(int plane, int width, int height) =>
        Enumerable.Range(0, plane).Sum(p => (long)RowBytes(p, width) * (IsChroma(p) ? ChromaHeight(height) : height));

    /// <summary>Bytes per row of a plane.</summary>
    internal int RowBytes(int plane, int width) => BytesPerSample * (IsChroma(plane) ? ChromaWidth(width) : width);

    internal int ChromaWidth(int width) => -(-width >> ChromaShiftX);

    internal int ChromaHeight(int height) => -(-height >> ChromaShiftY);

    private bool IsChroma(int plane) => IsYcbcr && plane is 1 or 2;

    // Only between formats of one family and depth, so that FFmpeg moves values without computing.
    private static string Unpacked(string format) => format switch
    {
        "nv12" or "nv21" => "yuv420p",
        "yuyv422" or "yvyu422" or "uyvy422" => "yuv422p",
        "nv24" or "nv42" => "yuv444p",
        "p010le" => "yuv420p10le",
        "p012le" => "yuv420p12le",
        "p016le" => "yuv420p16le",
        "p210le" or "y210le" => "yuv422p10le",
        "p216le" => "yuv422p16le",
        "p410le" => "yuv444p10le",
        "p416le" => "yuv444p16le",
        "rgb24" or "bgr24" or "rgba" or "rgb0" or "bgra" or "bgr0" or "argb" or "0rgb" or "abgr" or "0bgr" or "pal8" or "rgb8" or "bgr8"
            or "rgb565le" or "rgb565be" or "rgb555le" or "rgb555be" or "bgr565le" or "bgr555le" => "gbrp",
        "rgb48le" or "rgb48be" or "bgr48le" or "bgr48be" or "rgba64le" or "rgba64be" or "bgra64le" or "bgra64be" => "gbrp16le",
        "x2rgb10le" or "x2bgr10le" => "gbrp10le",
        "ya8" or "monow" or "monob" => "gray",
        "ya16le" or "ya16be" => "gray16le",
        _ => format.EndsWith("be", StringComparison.Ordinal) ? string.Concat(format.AsSpan(0, format.Length - 2), "le") : format,
    };

    private static int Depth(Match m) => m.Groups["bits"].Value switch
    {
        "" => 8,
        "f32" => 32,
        string bits => int.Parse(bits, CultureInfo.InvariantCulture),
    };

    [GeneratedRegex(@"^yuv[ja]?(420|422|444|440|411|410)p((?<bits>9|10|12|14|16)le)?$")]
    private static partial Regex PlanarYuv();

    [GeneratedRegex(@"^gbra?p((?<bits>9|10|12|14|16|f32)le)?$")]
    private static partial Regex PlanarGbr();

    [GeneratedRegex(@"^gray((?<bits>9|10|12|14|16|f32)le)?$")]
    private static partial Regex Gray();
}
