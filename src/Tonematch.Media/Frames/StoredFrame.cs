using System.Buffers.Binary;
using Tonematch.Media.Clips;
using Tonematch.Pictures;

namespace Tonematch.Media.Frames;

/// <summary>
/// A decoded frame in its clip's pixel format: an eighth of the memory of a floating-point picture, which is made from
/// it on demand. Immutable.
/// </summary>
public sealed class StoredFrame
{
    private readonly ClipInfo _clip;
    private readonly YcbcrToRgb _converter;
    private readonly byte[] _raw;
    private readonly int _width;
    private readonly int _height;

    /// <summary>Keeps the buffer, which must not be changed afterwards.</summary>
    internal StoredFrame(ClipInfo clip, RawFrames frames, byte[] raw, double seconds)
        : this(clip, frames.Converter, raw, frames.Width, frames.Height, seconds)
    {
    }

    /// <summary>Keeps the buffer, which must not be changed afterwards.</summary>
    internal StoredFrame(ClipInfo clip, YcbcrToRgb converter, byte[] raw, int width, int height, double seconds)
    {
        (_clip, _converter, _raw, _width, _height) = (clip, converter, raw, width, height);
        Seconds = seconds;
    }

    /// <summary>The frame's own presentation time on the clip's time line (0 = first frame); 0 for a still picture.</summary>
    public double Seconds { get; }

    /// <summary>Converts the frame and turns it upright.</summary>
    /// <param name="maxSide">Longest side in pixels, 1 or more: a larger frame is scaled down by area averaging, which is much cheaper than converting it at full size first.</param>
    public Picture ToPicture(int maxSide = int.MaxValue)
    {
        (int width, int height) = PictureScale.SmallSize(_width, _height, maxSide);
        (float[] r, float[] g, float[] b) = width < _width || height < _height ? _converter.ConvertSmall(_raw, width, height) : Whole();
        _clip.InputLut?.Apply(r, g, b);
        Orientation o = _clip.Orientation;
        (int w, int h) = o.SwapsSides() ? (height, width) : (width, height);
        return new Picture(w, h, o.Turn(r, width, height), o.Turn(g, width, height), o.Turn(b, width, height), _clip.Encoding);
    }

    /// <summary>The frame for a viewer that converts and turns it itself.</summary>
    public FramePlanes ToPlanes()
    {
        PixelLayout layout = RawFrames.LayoutOf(_clip).Layout;
        if (!layout.IsYcbcr || layout.PlaneCount != 3 || _clip.Matrix.Code == 8)
        {
            return AsRgb();
        }

        (double black, double span, double middle, double chromaSpan) = YcbcrToRgb.Levels(layout.Bits, _clip.Range);
        (double kr, double kb) = YcbcrToRgb.LumaWeights(_clip.Matrix.Code);
        return new FramePlanes(_width, _height, _clip.Orientation, Seconds, _raw)
        {
            IsYcbcr = true,
            IsWide = layout.BytesPerSample == 2,
            ChromaWidth = layout.ChromaWidth(_width),
            ChromaHeight = layout.ChromaHeight(_height),
            ChromaShiftX = layout.ChromaShiftX,
            ChromaShiftY = layout.ChromaShiftY,
            ChromaX = RawFrames.ChromaX(_clip, layout, _width),
            ChromaY = RawFrames.ChromaY(_clip, layout, _height),
            Scale = 1 / span,
            Offset = -black / span,
            ChromaScale = 1 / chromaSpan,
            ChromaOffset = -middle / chromaSpan,
            Kr = kr,
            Kb = kb,
        };
    }

    // Headroom of a quarter below black and above white, which no signal conversion exceeds by much.
    private FramePlanes AsRgb()
    {
        const double least = -0.25, span = 1.5;
        (float[] r, float[] g, float[] b) = Whole();
        byte[] data = new byte[r.Length * 6];
        int at = 0;
        foreach (float[] plane in (float[][])[r, g, b])
        {
            foreach (float v in plane)
            {
                BinaryPrimitives.WriteUInt16LittleEndian(data.AsSpan(at), (ushort)Math.Clamp(Math.Round((v - least) / span * ushort.MaxValue), 0, ushort.MaxValue));
                at += 2;
            }
        }

        return new FramePlanes(_width, _height, _clip.Orientation, Seconds, data)
        {
            IsYcbcr = false,
            IsWide = true,
            ChromaWidth = _width,
            ChromaHeight = _height,
            Scale = span / ushort.MaxValue,
            Offset = least,
        };
    }

    private (float[] R, float[] G, float[] B) Whole()
    {
        int pixels = _width * _height;
        float[] r = new float[pixels], g = new float[pixels], b = new float[pixels];
        _converter.Convert(_raw, r, g, b);
        return (r, g, b);
    }
}
