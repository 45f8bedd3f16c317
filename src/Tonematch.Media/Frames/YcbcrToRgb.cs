using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Tonematch.Media.Clips;
using Tonematch.Pictures;

namespace Tonematch.Media.Frames;

/// <summary>
/// Converts raw frames exactly to float R'G'B': range and matrix by the equations of Rec. ITU-T H.273 (8.3), chroma
/// interpolated linearly from its sample positions. Nothing is clamped: codes beyond black and white stay beyond 0 and
/// 1. Alpha is dropped. Immutable and thread-safe: create one per clip.
/// </summary>
public sealed class YcbcrToRgb
{
    private readonly PixelLayout _layout;
    private readonly int _width;
    private readonly int _height;
    private readonly double _chromaX;
    private readonly double _chromaY;
    private readonly float _lumaScale;
    private readonly float _lumaOffset;
    private readonly float _chromaScale;
    private readonly float _chromaOffset;
    private readonly float _rCr;
    private readonly float _gCb;
    private readonly float _gCr;
    private readonly float _bCb;
    private readonly bool _yCgCo;

    // For each component's plane: its start, and the bytes per row.
    private readonly (int Start, int RowBytes)[] _planes;

    // The chroma samples around each luma column in 4:1:1 and 4:1:0.
    private readonly int[] _left = [];
    private readonly float[] _part = [];

    /// <summary>Prepares the conversion of frames of one shape.</summary>
    /// <param name="layout">The memory layout of the frames.</param>
    /// <param name="width">Stored width in pixels.</param>
    /// <param name="height">Stored height.</param>
    /// <param name="matrixCode">H.273 matrix coefficients: 0 (only for RGB layouts), 1, 4, 5, 6, 7, 8 or 9.</param>
    /// <param name="range">Which codes are black and white.</param>
    /// <param name="chromaX">Column of the first chroma sample in luma columns, 0 (left) to 0.5 (centre of two).</param>
    /// <param name="chromaY">Row of the first chroma sample in luma rows.</param>
    /// <exception cref="NotSupportedException">The matrix cannot be inverted on code values alone (constant luminance, ICtCp and others).</exception>
    public YcbcrToRgb(PixelLayout layout, int width, int height, int matrixCode, SignalRange range, double chromaX, double chromaY)
    {
        ArgumentNullException.ThrowIfNull(layout);
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        (_layout, _width, _height, _chromaX, _chromaY) = (layout, width, height, chromaX, chromaY);
        (double lumaBlack, double lumaSpan, double chromaMiddle, double chromaSpan) = Levels(layout.Bits, range);
        _lumaScale = (float)(1 / lumaSpan);
        _lumaOffset = (float)(-lumaBlack / lumaSpan);
        _chromaScale = (float)(1 / chromaSpan);
        _chromaOffset = (float)(-chromaMiddle / chromaSpan);
        int[] planes = layout.IsGrey ? [0] : layout.IsYcbcr ? [0, 1, 2] : [2, 0, 1];
        _planes = [.. planes.Select(p => (checked((int)layout.PlaneStart(p, width, height)), layout.RowBytes(p, width)))];
        if (layout.IsYcbcr)
        {
            if (layout.ChromaShiftX > 1)
            {
                (_left, _part) = Positions();
            }

            if (matrixCode == 8)
            {
                _yCgCo = true;
                return;
            }

            (double kr, double kb) = LumaWeights(matrixCode);
            double kg = 1 - kr - kb;
            _rCr = (float)(2 * (1 - kr));
            _bCb = (float)(2 * (1 - kb));
            _gCb = (float)(-2 * kb * (1 - kb) / kg);
            _gCr = (float)(-2 * kr * (1 - kr) / kg);
        }
    }

    /// <summary>Bytes of one frame.</summary>
    public long FrameBytes => _layout.FrameBytes(_width, _height);

    /// <summary>Kr and Kb of H.273 table 4 (BT.709, FCC, BT.601, SMPTE ST 240, BT.2020).</summary>
    /// <exception cref="NotSupportedException">Another code.</exception>
    public static (double Kr, double Kb) LumaWeights(int matrixCode) => matrixCode switch
    {
        1 => (0.2126, 0.0722),
        4 => (0.30, 0.11),
        5 or 6 => (0.299, 0.114),
        7 => (0.212, 0.087),
        9 => (0.2627, 0.0593),
        _ => throw new NotSupportedException($"Matrix coefficients {matrixCode} of H.273 cannot be inverted on code values alone."),
    };

    /// <summary>Black, white minus black, neutral chroma and chroma span, in codes (H.273 eq. 23 to 37).</summary>
    public static (double LumaBlack, double LumaSpan, double ChromaMiddle, double ChromaSpan) Levels(int bits, SignalRange range)
    {
        if (bits == 32)
        {
            return (0, 1, 0, 1);
        }

        double unit = 1 << (bits - 8), max = (1 << bits) - 1, middle = 1 << (bits - 1);
        return range == SignalRange.Limited ? (16 * unit, 219 * unit, middle, 224 * unit) : (0, max, middle, max);
    }

    /// <summary>Column and row of the first chroma sample, in luma pixels from the first luma sample.</summary>
    public static (double X, double Y) ChromaPosition(ChromaLocation location, PixelLayout layout)
    {
        ArgumentNullException.ThrowIfNull(layout);
        double middleX = ((1 << layout.ChromaShiftX) - 1) / 2.0, middleY = ((1 << layout.ChromaShiftY) - 1) / 2.0;
        double bottom = (1 << layout.ChromaShiftY) - 1;
        return location switch
        {
            ChromaLocation.Left => (0, middleY),
            ChromaLocation.Centre => (middleX, middleY),
            ChromaLocation.TopLeft => (0, 0),
            ChromaLocation.Top => (middleX, 0),
            ChromaLocation.BottomLeft => (0, bottom),
            _ => (middleX, bottom),
        };
    }

    /// <summary>Converts one frame.</summary>
    /// <param name="frame"><see cref="FrameBytes"/> bytes.</param>
    /// <param name="r">Receives width x height red values; likewise the other two.</param>
    /// <param name="g">Green.</param>
    /// <param name="b">Blue.</param>
    /// <exception cref="ArgumentException">A length is wrong.</exception>
    public void Convert(ReadOnlySpan<byte> frame, Span<float> r, Span<float> g, Span<float> b)
    {
        int pixels = _width * _height;
        if (frame.Length != FrameBytes || r.Length != pixels || g.Length != pixels || b.Length != pixels)
        {
            throw new ArgumentException("The frame or a plane has the wrong length for these pictures.");
        }

        FrameRows rows = new(this, frame);
        for (int y = 0; y < _height; y++)
        {
            int at = y * _width;
            rows.Read(y, r.Slice(at, _width), g.Slice(at, _width), b.Slice(at, _width));
        }
    }

    /// <summary>
    /// Converts one frame and scales it down by area averaging, row by row: the full-size planes are never made.
    /// </summary>
    /// <param name="frame"><see cref="FrameBytes"/> bytes.</param>
    /// <param name="width">New width, 1 to the frame's.</param>
    /// <param name="height">New height, 1 to the frame's.</param>
    /// <exception cref="ArgumentException">The frame's length is wrong, or a side too large.</exception>
    public (float[] R, float[] G, float[] B) ConvertSmall(ReadOnlySpan<byte> frame, int width, int height)
    {
        if (frame.Length != FrameBytes)
        {
            throw new ArgumentException("The frame has the wrong length for these pictures.", nameof(frame));
        }

        FrameRows rows = new(this, frame);
        if (!_layout.IsYcbcr)
        {
            return ShrinkRgb(rows, width, height);
        }

        // Averaging and the matrix are both linear and can be swapped: luma and chroma are scaled down as stored, and
        // only small planes are converted to colours.
        PlaneShrinker luma = new(_width, _height, width, height);
        PlaneShrinker cb = new(_width, _height, width, height, rows.ChromaWidth, Widen), cr = new(_width, _height, width, height, rows.ChromaWidth, Widen);
        for (int y = 0; y < _height; y++)
        {
            luma.Add(rows.Luma(y));
            cb.Add(rows.Chroma(1, y));
            cr.Add(rows.Chroma(2, y));
        }

        (float[] R, float[] G, float[] B) rgb = (luma.Small, cb.Small, cr.Small);
        FromComponents(rgb.R, rgb.G, rgb.B, rgb.R, rgb.G, rgb.B);
        return rgb;
    }

    private (float[] R, float[] G, float[] B) ShrinkRgb(FrameRows rows, int width, int height)
    {
        PlaneShrinker red = new(_width, _height, width, height), green = new(_width, _height, width, height), blue = new(_width, _height, width, height);
        float[] r = new float[_width], g = new float[_width], b = new float[_width];
        for (int y = 0; y < _height; y++)
        {
            rows.Read(y, r, g, b);
            red.Add(r);
            green.Add(g);
            blue.Add(b);
        }

        return (red.Small, green.Small, blue.Small);
    }

    // Works in place: each position is read completely before it is written.
    private void FromComponents(ReadOnlySpan<float> y, ReadOnlySpan<float> cb, ReadOnlySpan<float> cr, Span<float> r, Span<float> g, Span<float> b)
    {
        if (_yCgCo)
        {
            FromYCgCo(y, cb, cr, r, g, b);
        }
        else
        {
            FromYcbcr(y, cb, cr, r, g, b);
        }
    }

    // Code with vectors of the machine's width cannot be compiled ahead of time; here and below the first compilation
    // is the final one.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void FromYcbcr(ReadOnlySpan<float> y, ReadOnlySpan<float> cb, ReadOnlySpan<float> cr, Span<float> r, Span<float> g, Span<float> b)
    {
        int n = y.Length, i = 0;
        Vector<float> rCr = new(_rCr), gCb = new(_gCb), gCr = new(_gCr), bCb = new(_bCb);
        for (; i <= n - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> l = new(y[i..]), u = new(cb[i..]), v = new(cr[i..]);
            (l + (rCr * v)).CopyTo(r[i..]);
            (l + (gCb * u) + (gCr * v)).CopyTo(g[i..]);
            (l + (bCb * u)).CopyTo(b[i..]);
        }

        for (; i < n; i++)
        {
            (float l, float u, float v) = (y[i], cb[i], cr[i]);
            r[i] = l + (_rCr * v);
            g[i] = l + (_gCb * u) + (_gCr * v);
            b[i] = l + (_bCb * u);
        }
    }

    // H.273 eq. 49 to 52, MatrixCoefficients 8: Cb carries Cg, Cr carries Co.
    private static void FromYCgCo(ReadOnlySpan<float> y, ReadOnlySpan<float> cg, ReadOnlySpan<float> co, Span<float> r, Span<float> g, Span<float> b)
    {
        for (int i = 0; i < y.Length; i++)
        {
            (float luma, float green, float orange) = (y[i], cg[i], co[i]);
            float t = luma - green;
            g[i] = luma + green;
            b[i] = t - orange;
            r[i] = t + orange;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void MixRows(ReadOnlySpan<float> upper, ReadOnlySpan<float> lower, float down, Span<float> mixed)
    {
        int n = mixed.Length, i = 0;
        Vector<float> d = new(down);
        for (; i <= n - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> u = new(upper[i..]);
            (u + (d * (new Vector<float>(lower[i..]) - u))).CopyTo(mixed[i..]);
        }

        for (; i < n; i++)
        {
            mixed[i] = upper[i] + (down * (lower[i] - upper[i]));
        }
    }

    /// <summary>Chroma at every luma column; the row has one repeated sample at each end.</summary>
    private void Widen(ReadOnlySpan<float> chroma, Span<float> wide)
    {
        int width = wide.Length;
        if (_layout.ChromaShiftX == 0)
        {
            chroma.Slice(1, width).CopyTo(wide);
        }
        else if (_layout.ChromaShiftX == 1)
        {
            // Luma column 2i is x0/2 left of chroma sample i, column 2i + 1 is (1 - x0)/2 right of it.
            float before = (float)(_chromaX / 2), after = (float)((1 - _chromaX) / 2);
            int pairs = width / 2;
            WidenPairs(chroma[..(pairs + 2)], before, after, wide[..(2 * pairs)]);

            if (width % 2 == 1)
            {
                wide[width - 1] = chroma[pairs + 1] + (before * (chroma[pairs] - chroma[pairs + 1]));
            }
        }
        else
        {
            for (int x = 0; x < width; x++)
            {
                int i = _left[x];
                wide[x] = chroma[i] + (_part[x] * (chroma[i + 1] - chroma[i]));
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void WidenPairs(ReadOnlySpan<float> chroma, float before, float after, Span<float> wide)
    {
        int pairs = wide.Length / 2, i = 0;
        for (; BitConverter.IsLittleEndian && i <= pairs - Vector<float>.Count; i += Vector<float>.Count)
        {
            Vector<float> left = new(chroma[i..]), here = new(chroma[(i + 1)..]), right = new(chroma[(i + 2)..]);
            Vector<float> even = here + (before * (left - here)), odd = here + (after * (right - here));
            Interleave(even, odd, wide.Slice(2 * i, 2 * Vector<float>.Count));
        }

        for (; i < pairs; i++)
        {
            float here = chroma[i + 1];
            wide[2 * i] = here + (before * (chroma[i] - here));
            wide[(2 * i) + 1] = here + (after * (chroma[i + 2] - here));
        }

        // Two adjacent 32-bit numbers form one 64-bit number, the first being its lower half.
        static void Interleave(Vector<float> even, Vector<float> odd, Span<float> wide)
        {
            Vector.Widen(Vector.AsVectorUInt32(even), out Vector<ulong> e0, out Vector<ulong> e1);
            Vector.Widen(Vector.AsVectorUInt32(odd), out Vector<ulong> o0, out Vector<ulong> o1);
            Vector.AsVectorSingle(e0 | (o0 << 32)).CopyTo(wide);
            Vector.AsVectorSingle(e1 | (o1 << 32)).CopyTo(wide[Vector<float>.Count..]);
        }
    }

    private (int[] Left, float[] Part) Positions()
    {
        int chromaWidth = -(-_width >> _layout.ChromaShiftX);
        int[] left = new int[_width];
        float[] part = new float[_width];
        for (int x = 0; x < _width; x++)
        {
            double at = ((x - _chromaX) / (1 << _layout.ChromaShiftX)) + 1;
            left[x] = Math.Clamp((int)Math.Floor(at), 0, chromaWidth);
            part[x] = (float)Math.Clamp(at - left[x], 0, 1);
        }

        return (left, part);
    }

    private void LoadRow(ReadOnlySpan<byte> frame, int component, int row, Span<float> values, float scale, float offset)
    {
        (int start, int rowBytes) = _planes[component];
        ReadOnlySpan<byte> source = frame.Slice(start + (row * rowBytes), values.Length * _layout.BytesPerSample);
        if (_layout.Bits == 8)
        {
            LoadBytes(source, values, scale, offset);
        }
        else if (_layout.IsFloat)
        {
            MemoryMarshal.Cast<byte, float>(source).CopyTo(values);
        }
        else
        {
            LoadWords(MemoryMarshal.Cast<byte, ushort>(source), values, scale, offset);
        }
    }

    // Every examined frame passes through here, byte by byte: eight or more at once take a quarter of the time.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void LoadBytes(ReadOnlySpan<byte> codes, Span<float> values, float scale, float offset)
    {
        int i = 0, step = Vector<float>.Count;
        Vector<float> scales = new(scale), offsets = new(offset);
        for (; i <= codes.Length - Vector<byte>.Count; i += Vector<byte>.Count)
        {
            Vector.Widen(new Vector<byte>(codes[i..]), out Vector<ushort> low, out Vector<ushort> high);
            Vector.Widen(low, out Vector<uint> first, out Vector<uint> second);
            Vector.Widen(high, out Vector<uint> third, out Vector<uint> fourth);
            Span<float> v = values.Slice(i, Vector<byte>.Count);
            Scaled(first).CopyTo(v);
            Scaled(second).CopyTo(v[step..]);
            Scaled(third).CopyTo(v[(2 * step)..]);
            Scaled(fourth).CopyTo(v[(3 * step)..]);
        }

        for (; i < codes.Length; i++)
        {
            values[i] = (codes[i] * scale) + offset;
        }

        Vector<float> Scaled(Vector<uint> code) => (Vector.ConvertToSingle(code.As<uint, int>()) * scales) + offsets;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void LoadWords(ReadOnlySpan<ushort> codes, Span<float> values, float scale, float offset)
    {
        int i = 0, step = Vector<float>.Count;
        Vector<float> scales = new(scale), offsets = new(offset);
        for (; i <= codes.Length - Vector<ushort>.Count; i += Vector<ushort>.Count)
        {
            Vector.Widen(new Vector<ushort>(codes[i..]), out Vector<uint> low, out Vector<uint> high);
            Span<float> v = values.Slice(i, Vector<ushort>.Count);
            Scaled(low).CopyTo(v);
            Scaled(high).CopyTo(v[step..]);
        }

        for (; i < codes.Length; i++)
        {
            values[i] = (codes[i] * scale) + offset;
        }

        Vector<float> Scaled(Vector<uint> code) => (Vector.ConvertToSingle(code.As<uint, int>()) * scales) + offsets;
    }

    /// <summary>One frame's rows as R'G'B', read from the top down so that each row of chroma is loaded once.</summary>
    private readonly ref struct FrameRows
    {
        private readonly YcbcrToRgb _owner;
        private readonly ReadOnlySpan<byte> _frame;
        private readonly ChromaRows _cbRows;
        private readonly ChromaRows _crRows;
        private readonly float[] _luma;
        private readonly float[] _cb;
        private readonly float[] _cr;
        private readonly float[] _mixed;

        public FrameRows(YcbcrToRgb owner, ReadOnlySpan<byte> frame)
        {
            _owner = owner;
            _frame = frame;
            int chromaWidth = -(-owner._width >> owner._layout.ChromaShiftX);
            (_cbRows, _crRows, _mixed) = (new ChromaRows(chromaWidth), new ChromaRows(chromaWidth), new float[chromaWidth + 2]);
            (_luma, _cb, _cr) = (new float[owner._width], new float[owner._width], new float[owner._width]);
        }

        public void Read(int y, Span<float> r, Span<float> g, Span<float> b)
        {
            if (!_owner._layout.IsYcbcr)
            {
                _owner.LoadRow(_frame, 0, y, r, _owner._lumaScale, _owner._lumaOffset);
                if (_owner._layout.IsGrey)
                {
                    r.CopyTo(g);
                    r.CopyTo(b);
                }
                else
                {
                    _owner.LoadRow(_frame, 1, y, g, _owner._lumaScale, _owner._lumaOffset);
                    _owner.LoadRow(_frame, 2, y, b, _owner._lumaScale, _owner._lumaOffset);
                }

                return;
            }

            _owner.Widen(Chroma(1, y), _cb);
            _owner.Widen(Chroma(2, y), _cr);
            _owner.FromComponents(Luma(y), _cb, _cr, r, g, b);
        }

        /// <summary>Values per row of <see cref="Chroma"/>.</summary>
        public int ChromaWidth => _mixed.Length;

        /// <summary>A row of luma. Valid until the next call.</summary>
        public ReadOnlySpan<float> Luma(int y)
        {
            _owner.LoadRow(_frame, 0, y, _luma, _owner._lumaScale, _owner._lumaOffset);
            return _luma;
        }

        /// <summary>
        /// The chroma of a luma row, interpolated from the two surrounding rows: not yet widened, with one repeated
        /// sample at each end. Valid until the next call.
        /// </summary>
        public ReadOnlySpan<float> Chroma(int component, int y)
        {
            int last = -(-_owner._height >> _owner._layout.ChromaShiftY) - 1;
            double at = (y - _owner._chromaY) / (1 << _owner._layout.ChromaShiftY);
            int upper = (int)Math.Floor(at);
            ChromaRows rows = component == 1 ? _cbRows : _crRows;
            MixRows(
                rows.Get(_owner, _frame, component, Math.Clamp(upper, 0, last)), rows.Get(_owner, _frame, component, Math.Clamp(upper + 1, 0, last)),
                (float)(at - upper), _mixed);
            return _mixed;
        }
    }

    /// <summary>The last two chroma rows, widened by one repeated sample at each end: each row is loaded once.</summary>
    private sealed class ChromaRows(int width)
    {
        private readonly float[][] _rows = [new float[width + 2], new float[width + 2]];
        private readonly int[] _numbers = [-1, -1];

        public ReadOnlySpan<float> Get(YcbcrToRgb owner, ReadOnlySpan<byte> frame, int component, int row)
        {
            int slot = row & 1;
            float[] values = _rows[slot];
            if (_numbers[slot] != row)
            {
                owner.LoadRow(frame, component, row, values.AsSpan(1, width), owner._chromaScale, owner._chromaOffset);
                values[0] = values[1];
                values[width + 1] = values[width];
                _numbers[slot] = row;
            }

            return values;
        }
    }
}
