using System.Runtime.Intrinsics;
using Tonematch.Luts.Engine;
using Tonematch.Luts.Tables;
using Tonematch.Pictures;

namespace Tonematch.Luts;

/// <summary>
/// Applies one 3D table to the pixels of pictures, fast: tetrahedral interpolation, eight pixels at a time.
/// Immutable; one instance may be used from many threads.
/// </summary>
/// <remarks>
/// Values equal those of <see cref="LutInterpolation.Tetrahedral"/> to float rounding (place in the table within 1e-5
/// of a cell); input outside the domain is clamped to its edge, NaN to its minimum. Results are not clamped.
/// </remarks>
public sealed class LutEngine
{
    private readonly NodeGrid _grid;
    private readonly bool _isScalar;

    /// <summary>Lays the table out for speed.</summary>
    public LutEngine(Lut3D lut)
        : this(lut, !Vector128.IsHardwareAccelerated)
    {
    }

    internal LutEngine(Lut3D lut, bool scalar)
    {
        ArgumentNullException.ThrowIfNull(lut);
        (_grid, _isScalar) = (new NodeGrid(lut), scalar);
    }

    /// <summary>Applies the table to a picture, on all cores.</summary>
    /// <param name="picture">Any size.</param>
    /// <param name="outputEncoding">The encoding of the result; by default the picture's own.</param>
    public Picture Apply(Picture picture, Colour.SignalEncoding? outputEncoding = null)
    {
        ArgumentNullException.ThrowIfNull(picture);
        int count = picture.R.Length;
        float[] r = GC.AllocateUninitializedArray<float>(count);
        float[] g = GC.AllocateUninitializedArray<float>(count);
        float[] b = GC.AllocateUninitializedArray<float>(count);

        PixelPortions.ForEach(count, (from, length) => Apply(
            picture.R.Slice(from, length), picture.G.Slice(from, length), picture.B.Slice(from, length),
            r.AsSpan(from, length), g.AsSpan(from, length), b.AsSpan(from, length)));
        return new Picture(picture.Width, picture.Height, r, g, b, outputEncoding ?? picture.Encoding);
    }

    /// <summary>
    /// Applies the table to three planes of code values, on this thread, without allocation. Results may overwrite the
    /// input.
    /// </summary>
    /// <exception cref="ArgumentException">The lengths differ.</exception>
    public void Apply(
        ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, Span<float> outR, Span<float> outG, Span<float> outB)
    {
        int n = r.Length;
        if (g.Length != n || b.Length != n || outR.Length != n || outG.Length != n || outB.Length != n)
        {
            throw new ArgumentException("All six planes must have the same length.");
        }

        int whole = _isScalar ? 0 : n & ~7;
        TetrahedralKernel.Run(_grid, r[..whole], g[..whole], b[..whole], outR, outG, outB);
        for (int i = whole; i < n; i++)
        {
            Vector128<float> result = TetrahedralKernel.One(_grid, r[i], g[i], b[i]);
            (outR[i], outG[i], outB[i]) = (result[0], result[1], result[2]);
        }
    }
}
