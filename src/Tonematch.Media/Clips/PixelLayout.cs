using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;

namespace Tonematch.Media.Clips;

/// <summary>
/// How a frame of raw video lies in memory: the formats FFmpeg decoders put out that can be read here without any
/// conversion. Planes follow each other without padding.
/// </summary>
public sealed partial class PixelLayout
{
    private PixelLayout(string name, bool isYcbcr, int bits, int shiftX, int shiftY, params Component[] components)
    {
        (Name, IsYcbcr, Bits, ChromaShiftX, ChromaShiftY, Components) = (name, isYcbcr, bits, shiftX, shiftY, [.. components]);
    }

    /// <summary>FFmpeg's name of the format.</summary>
    public string Name { get; }

    /// <summary>Luma and two chroma components; else R G B, or grey when there is one component.</summary>
    public bool IsYcbcr { get; }

    /// <summary>Significant bits a component (8..16), or 32 for floating point.</summary>
    public int Bits { get; }

    /// <summary>Floating point, 1 = white.</summary>
    public bool IsFloat => Bits == 32;

    /// <summary>Only one component: no colour.</summary>
    public bool IsGrey => Components.Length == 1;

    /// <summary>log2 of luma columns a chroma column.</summary>
    public int ChromaShiftX { get; }

    /// <summary>log2 of luma rows a chroma row.</summary>
    public int ChromaShiftY { get; }

    /// <summary>'4:2:0' and the like; null for RGB and grey.</summary>
    public string? Subsampling => !IsYcbcr || IsGrey ? null : (ChromaShiftX, ChromaShiftY) switch
    {
        (0, 0) => "4:4:4",
        (1, 0) => "4:2:2",
        (1, 1) => "4:2:0",
        (0, 1) => "4:4:0",
        (2, 0) => "4:1:1",
        _ => "4:1:0",
    };

    internal ImmutableArray<Component> Components { get; }

    /// <summary>Finds the layout of a format; null when it cannot be read without a conversion.</summary>
    public static PixelLayout? Find(string? pixelFormat)
    {
        string name = pixelFormat ?? "";
        return Planar(name) ?? Packed(name);
    }

    /// <summary>Bytes of one frame.</summary>
    public long FrameBytes(int width, int height)
    {
        long bytes = 0;
        for (int p = 0; p < PlaneCount; p++)
        {
            (int rowBytes, int rows) = PlaneSize(p, width, height);
            bytes += (long)rowBytes * rows;
        }

        return bytes;
    }

    internal int PlaneCount => Name.StartsWith("yuva", StringComparison.Ordinal) || Name.StartsWith("gbrap", StringComparison.Ordinal)
        ? 4
        : Components.Max(c => c.Plane) + 1;

    internal (int RowBytes, int Rows) PlaneSize(int plane, int width, int height)
    {
        bool chroma = IsYcbcr && plane is 1 or 2 && Components.Any(c => c.Plane == plane);
        int w = chroma ? -(-width >> ChromaShiftX) : width;
        int h = chroma ? -(-height >> ChromaShiftY) : height;
        // Packed 4:2:2: whole groups of two pixels; alpha planes (3) are as luma.
        int step = plane == 3 ? Components[0].Step : Components.First(c => c.Plane == plane).Step;
        bool packed422 = PlaneCount == 1 && ChromaShiftX == 1;
        return packed422 ? ((width + 1) / 2 * Components[1].Step, height) : (w * step, h);
    }

    private static PixelLayout? Planar(string name)
    {
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
            (int bits, bool big) = Depth(yuv);
            return new PixelLayout(name, true, bits, sx, sy, Plane(0, bits, big), Plane(1, bits, big), Plane(2, bits, big));
        }

        if (PlanarGbr().Match(name) is { Success: true } gbr)
        {
            (int bits, bool big) = Depth(gbr);
            return new PixelLayout(name, false, bits, 0, 0, Plane(2, bits, big), Plane(0, bits, big), Plane(1, bits, big));
        }

        if (Gray().Match(name) is { Success: true } gray)
        {
            (int bits, bool big) = Depth(gray);
            return new PixelLayout(name, false, bits, 0, 0, Plane(0, bits, big));
        }

        return null;
    }

    private static (int Bits, bool BigEndian) Depth(Match m)
    {
        string bits = m.Groups["bits"].Value;
        return (bits is "" ? 8 : bits is "f32" ? 32 : int.Parse(bits, CultureInfo.InvariantCulture), m.Groups["end"].Value == "be");
    }

    private static Component Plane(int plane, int bits, bool big) => new(plane, 0, bits switch { 8 => 1, 32 => 4, _ => 2 }, 0, big);

    private static PixelLayout? Packed(string name)
    {
        PixelLayout Rgb8(int step, int r, int g, int b) =>
            new(name, false, 8, 0, 0, new(0, r, step, 0, false), new(0, g, step, 0, false), new(0, b, step, 0, false));
        PixelLayout Rgb16(int step, int r, int b) => new(
            name, false, 16, 0, 0,
            new(0, r, step, 0, name.EndsWith("be", StringComparison.Ordinal)),
            new(0, 2, step, 0, name.EndsWith("be", StringComparison.Ordinal)),
            new(0, b, step, 0, name.EndsWith("be", StringComparison.Ordinal)));
        PixelLayout Semi(int bytes, int bits, int sx, int sy, bool swapped = false) => new(
            name, true, bits, sx, sy,
            new(0, 0, bytes, (8 * bytes) - bits, false),
            new(1, swapped ? bytes : 0, 2 * bytes, (8 * bytes) - bits, false),
            new(1, swapped ? 0 : bytes, 2 * bytes, (8 * bytes) - bits, false));
        PixelLayout Yuv422(int y, int cb, int cr) =>
            new(name, true, 8, 1, 0, new(0, y, 2, 0, false), new(0, cb, 4, 0, false), new(0, cr, 4, 0, false));
        return name switch
        {
            "rgb24" => Rgb8(3, 0, 1, 2),
            "bgr24" => Rgb8(3, 2, 1, 0),
            "rgba" or "rgb0" => Rgb8(4, 0, 1, 2),
            "bgra" or "bgr0" => Rgb8(4, 2, 1, 0),
            "argb" or "0rgb" => Rgb8(4, 1, 2, 3),
            "abgr" or "0bgr" => Rgb8(4, 3, 2, 1),
            "rgb48le" or "rgb48be" => Rgb16(6, 0, 4),
            "bgr48le" or "bgr48be" => Rgb16(6, 4, 0),
            "rgba64le" or "rgba64be" => Rgb16(8, 0, 4),
            "bgra64le" or "bgra64be" => Rgb16(8, 4, 0),
            "ya8" => new(name, false, 8, 0, 0, new Component(0, 0, 2, 0, false)),
            "ya16le" => new(name, false, 16, 0, 0, new Component(0, 0, 4, 0, false)),
            "ya16be" => new(name, false, 16, 0, 0, new Component(0, 0, 4, 0, true)),
            "nv12" => Semi(1, 8, 1, 1),
            "nv21" => Semi(1, 8, 1, 1, swapped: true),
            "nv16" => Semi(1, 8, 1, 0),
            "nv24" => Semi(1, 8, 0, 0),
            "nv42" => Semi(1, 8, 0, 0, swapped: true),
            "p010le" => Semi(2, 10, 1, 1),
            "p012le" => Semi(2, 12, 1, 1),
            "p016le" => Semi(2, 16, 1, 1),
            "p210le" => Semi(2, 10, 1, 0),
            "p216le" => Semi(2, 16, 1, 0),
            "p410le" => Semi(2, 10, 0, 0),
            "p416le" => Semi(2, 16, 0, 0),
            "yuyv422" => Yuv422(0, 1, 3),
            "yvyu422" => Yuv422(0, 3, 1),
            "uyvy422" => Yuv422(1, 0, 2),
            _ => null,
        };
    }

    /// <summary>Where one component's samples are.</summary>
    /// <param name="Plane">Number of the plane.</param>
    /// <param name="Offset">Bytes before the first sample of a row.</param>
    /// <param name="Step">Bytes from one sample to the next.</param>
    /// <param name="Shift">Unused low bits.</param>
    /// <param name="BigEndian">High byte first.</param>
    internal readonly record struct Component(int Plane, int Offset, int Step, int Shift, bool BigEndian);

    [GeneratedRegex(@"^yuv[ja]?(420|422|444|440|411|410)p(?<bits>9|10|12|14|16)?(?<end>le|be)?$")]
    private static partial Regex PlanarYuv();

    [GeneratedRegex(@"^gbra?p(?<bits>9|10|12|14|16|f32)?(?<end>le|be)?$")]
    private static partial Regex PlanarGbr();

    [GeneratedRegex(@"^gray(?<bits>9|10|12|14|16|f32)?(?<end>le|be)?$")]
    private static partial Regex Gray();
}
