using System.Runtime.Intrinsics;
using Tonematch.Luts.Engine;
using Tonematch.Luts.Tables;
using Tonematch.Pictures;

namespace Tonematch.Luts;

/// <summary>
/// Applies one 3D table to many pixels, fast: vectors of eight pixels, all cores where the name says so,
/// nothing allocated per pixel. Immutable; use one from many threads.
/// </summary>
/// <remarks>
/// Values are those of <see cref="LutInterpolation"/> to float rounding (place in the table within 1e-5 of a cell);
/// input outside the domain is taken at its edge, NaN at its minimum. Float results are not limited; integer results
/// are rounded to nearest and limited to the format's range. Results may be written over the input.
/// </remarks>
public sealed class LutEngine
{
    // Enough work that handing it to another thread costs nothing: about 50 microseconds.
    private const int PixelsAPortion = 1 << 14;

    private readonly Lut3D _lut;
    private readonly NodeGrid _float;
    private readonly Lazy<NodeGrid> _byte;
    private readonly Lazy<NodeGrid> _word;
    private readonly bool _isTrilinear;
    private readonly bool _isScalar;

    /// <summary>Lays the table out for speed.</summary>
    public LutEngine(Lut3D lut, LutMethod method = LutMethod.Tetrahedral)
        : this(lut, method, !Vector128.IsHardwareAccelerated)
    {
    }

    internal LutEngine(Lut3D lut, LutMethod method, bool scalar)
    {
        ArgumentNullException.ThrowIfNull(lut);
        _isTrilinear = method switch
        {
            LutMethod.Tetrahedral => false,
            LutMethod.Trilinear => true,
            _ => throw new ArgumentOutOfRangeException(nameof(method), method, "Unknown interpolation method."),
        };
        (_lut, _isScalar) = (lut, scalar);
        _float = new NodeGrid(lut, 1);
        _byte = new(() => new NodeGrid(_float, lut, byte.MaxValue));
        _word = new(() => new NodeGrid(_float, lut, ushort.MaxValue));
    }

    /// <summary>Three planes of floats, on this thread.</summary>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void Apply(
        ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, Span<float> outR, Span<float> outG, Span<float> outB)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        Run(_float, new PlanarFloat(r, g, b, outR, outG, outB), r.Length);
    }

    /// <summary>Three planes of bytes, on this thread.</summary>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void Apply(
        ReadOnlySpan<byte> r, ReadOnlySpan<byte> g, ReadOnlySpan<byte> b, Span<byte> outR, Span<byte> outG, Span<byte> outB)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        Run(_byte.Value, new PlanarByte(r, g, b, outR, outG, outB), r.Length);
    }

    /// <summary>Three planes of 16-bit words, on this thread.</summary>
    /// <param name="r">Red codes.</param>
    /// <param name="g">Green codes.</param>
    /// <param name="b">Blue codes.</param>
    /// <param name="outR">Receives red.</param>
    /// <param name="outG">Receives green.</param>
    /// <param name="outB">Receives blue.</param>
    /// <param name="maxCode">The code of white, 255..65535: 1023 for 10 bits in a word.</param>
    /// <exception cref="ArgumentException">The lengths differ, or the code is not allowed.</exception>
    public void Apply(
        ReadOnlySpan<ushort> r, ReadOnlySpan<ushort> g, ReadOnlySpan<ushort> b,
        Span<ushort> outR, Span<ushort> outG, Span<ushort> outB, int maxCode = ushort.MaxValue)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        Run(Words(maxCode), new PlanarUInt16(r, g, b, outR, outG, outB, maxCode), r.Length);
    }

    /// <summary>Bytes r g b, pixel after pixel, on this thread.</summary>
    /// <exception cref="ArgumentException">The lengths differ or are not whole pixels.</exception>
    public void Apply(ReadOnlySpan<byte> rgb, Span<byte> result) =>
        Run(_byte.Value, new PackedByte(rgb, result), WholePixels(rgb.Length, result.Length));

    /// <summary>16-bit words r g b, pixel after pixel, on this thread.</summary>
    /// <param name="rgb">Codes.</param>
    /// <param name="result">Receives the results.</param>
    /// <param name="maxCode">The code of white, 255..65535.</param>
    /// <exception cref="ArgumentException">The lengths differ or are not whole pixels, or the code is not allowed.</exception>
    public void Apply(ReadOnlySpan<ushort> rgb, Span<ushort> result, int maxCode = ushort.MaxValue) =>
        Run(Words(maxCode), new PackedUInt16(rgb, result, maxCode), WholePixels(rgb.Length, result.Length));

    /// <summary>A picture, on all cores. Float code values, not limited; the encoding becomes what the table makes of it.</summary>
    /// <param name="picture">Any size.</param>
    /// <param name="outputEncoding">What the result's code values mean; the picture's own when not given.</param>
    public Picture Apply(Picture picture, Colour.SignalEncoding? outputEncoding = null)
    {
        ArgumentNullException.ThrowIfNull(picture);
        int count = picture.R.Length;
        float[] r = GC.AllocateUninitializedArray<float>(count);
        float[] g = GC.AllocateUninitializedArray<float>(count);
        float[] b = GC.AllocateUninitializedArray<float>(count);
        InPortions(count, (from, length) => Apply(
            picture.R.Slice(from, length), picture.G.Slice(from, length), picture.B.Slice(from, length),
            r.AsSpan(from, length), g.AsSpan(from, length), b.AsSpan(from, length)));
        return new Picture(picture.Width, picture.Height, r, g, b, outputEncoding ?? picture.Encoding);
    }

    /// <summary>Three planes of floats, on all cores.</summary>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void ApplyOnAllCores(
        ReadOnlyMemory<float> r, ReadOnlyMemory<float> g, ReadOnlyMemory<float> b, Memory<float> outR, Memory<float> outG, Memory<float> outB)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        InPortions(r.Length, (from, n) => Apply(
            r.Span.Slice(from, n), g.Span.Slice(from, n), b.Span.Slice(from, n),
            outR.Span.Slice(from, n), outG.Span.Slice(from, n), outB.Span.Slice(from, n)));
    }

    /// <summary>Three planes of bytes, on all cores.</summary>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void ApplyOnAllCores(
        ReadOnlyMemory<byte> r, ReadOnlyMemory<byte> g, ReadOnlyMemory<byte> b, Memory<byte> outR, Memory<byte> outG, Memory<byte> outB)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        InPortions(r.Length, (from, n) => Apply(
            r.Span.Slice(from, n), g.Span.Slice(from, n), b.Span.Slice(from, n),
            outR.Span.Slice(from, n), outG.Span.Slice(from, n), outB.Span.Slice(from, n)));
    }

    /// <summary>Three planes of 16-bit words, on all cores.</summary>
    /// <exception cref="ArgumentException">The lengths differ, or the code is not allowed.</exception>
    public void ApplyOnAllCores(
        ReadOnlyMemory<ushort> r, ReadOnlyMemory<ushort> g, ReadOnlyMemory<ushort> b,
        Memory<ushort> outR, Memory<ushort> outG, Memory<ushort> outB, int maxCode = ushort.MaxValue)
    {
        SameLength(r.Length, g.Length, b.Length, outR.Length, outG.Length, outB.Length);
        InPortions(r.Length, (from, n) => Apply(
            r.Span.Slice(from, n), g.Span.Slice(from, n), b.Span.Slice(from, n),
            outR.Span.Slice(from, n), outG.Span.Slice(from, n), outB.Span.Slice(from, n), maxCode));
    }

    /// <summary>Bytes r g b, pixel after pixel, on all cores.</summary>
    /// <exception cref="ArgumentException">The lengths differ or are not whole pixels.</exception>
    public void ApplyOnAllCores(ReadOnlyMemory<byte> rgb, Memory<byte> result) => InPortions(
        WholePixels(rgb.Length, result.Length),
        (from, n) => Apply(rgb.Span.Slice(3 * from, 3 * n), result.Span.Slice(3 * from, 3 * n)));

    /// <summary>16-bit words r g b, pixel after pixel, on all cores.</summary>
    /// <exception cref="ArgumentException">The lengths differ or are not whole pixels, or the code is not allowed.</exception>
    public void ApplyOnAllCores(ReadOnlyMemory<ushort> rgb, Memory<ushort> result, int maxCode = ushort.MaxValue) => InPortions(
        WholePixels(rgb.Length, result.Length),
        (from, n) => Apply(rgb.Span.Slice(3 * from, 3 * n), result.Span.Slice(3 * from, 3 * n), maxCode));

    private void Run<TPixels>(NodeGrid grid, TPixels pixels, int count)
        where TPixels : struct, IPixels, allows ref struct
    {
        switch (_isScalar, _isTrilinear)
        {
            case (false, false):
                BlockLoop.Run<TPixels, TetrahedralKernel>(grid, pixels, 0, count);
                break;
            case (false, true):
                BlockLoop.Run<TPixels, TrilinearKernel>(grid, pixels, 0, count);
                break;
            case (true, false):
                BlockLoop.RunScalar<TPixels, TetrahedralKernel>(grid, pixels, 0, count);
                break;
            default:
                BlockLoop.RunScalar<TPixels, TrilinearKernel>(grid, pixels, 0, count);
                break;
        }
    }

    // Long runs of pixels rather than rows: a row is as short as the picture is narrow.
    private static void InPortions(int count, Action<int, int> apply)
    {
        int portions = (count + PixelsAPortion - 1) / PixelsAPortion;
        if (portions <= 1)
        {
            apply(0, count);
            return;
        }

        Parallel.For(0, portions, i =>
        {
            int from = i * PixelsAPortion;
            apply(from, Math.Min(PixelsAPortion, count - from));
        });
    }

    private NodeGrid Words(int maxCode)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(maxCode, byte.MaxValue);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(maxCode, ushort.MaxValue);
        return maxCode == ushort.MaxValue ? _word.Value : new NodeGrid(_float, _lut, maxCode);
    }

    private static int WholePixels(int length, int resultLength)
    {
        if (length != resultLength || length % 3 != 0)
        {
            throw new ArgumentException($"Input and result must have the same number of whole pixels, not {length} and {resultLength} values.");
        }

        return length / 3;
    }

    private static void SameLength(int r, int g, int b, int outR, int outG, int outB)
    {
        if (r != g || r != b || r != outR || r != outG || r != outB)
        {
            throw new ArgumentException("All six planes must have the same length.");
        }
    }
}
