using Tonematch.Colour;

namespace Tonematch.Luts.Tables;

/// <summary>
/// Interpolation between a table's entries in double precision: the reference that the fast engine is tested against.
/// Input outside the domain is clamped to its edge (a table has no information beyond it), NaN to its minimum, so the
/// result is always finite.
/// </summary>
public static class LutInterpolation
{
    /// <summary>Interpolates a 3D table by the given method.</summary>
    public static CodeRgb Apply(Lut3D lut, CodeRgb code, LutMethod method) => method switch
    {
        LutMethod.Tetrahedral => Tetrahedral(lut, code),
        LutMethod.Trilinear => Trilinear(lut, code),
        _ => throw new ArgumentOutOfRangeException(nameof(method), method, "Unknown interpolation method."),
    };

    /// <summary>
    /// Tetrahedral interpolation: the cell is cut into six tetrahedra along the diagonal from its first to its last
    /// corner, so a neutral axis stays on that diagonal. It is continuous, and exact for affine functions.
    /// </summary>
    /// <remarks>Sakamoto, Itooka, US patent 4,275,413 (1981, expired); as in FFmpeg's lut3d and OpenColorIO.</remarks>
    public static CodeRgb Tetrahedral(Lut3D lut, CodeRgb code)
    {
        ArgumentNullException.ThrowIfNull(lut);
        (int i, double r) = Locate(code.R, lut.DomainMin.R, lut.DomainMax.R, lut.Size);
        (int j, double g) = Locate(code.G, lut.DomainMin.G, lut.DomainMax.G, lut.Size);
        (int k, double b) = Locate(code.B, lut.DomainMin.B, lut.DomainMax.B, lut.Size);

        // From corner 000 walk along the axis with the largest fraction, then the middle one, then the smallest.
        // With equal fractions either order is right: the corner between them has weight 0.
        int redFirst = r >= g ? 1 : 0, greenFirst = g >= b ? 1 : 0, redBeforeBlue = r >= b ? 1 : 0;
        int redRank = (1 - redFirst) + (1 - redBeforeBlue);
        int greenRank = redFirst + (1 - greenFirst);
        int blueRank = redBeforeBlue + greenFirst;
        double high = Math.Max(r, Math.Max(g, b)), low = Math.Min(r, Math.Min(g, b)), middle = r + g + b - high - low;
        CodeRgb first = lut.Node(i, j, k);
        CodeRgb second = lut.Node(i + (redRank < 1 ? 1 : 0), j + (greenRank < 1 ? 1 : 0), k + (blueRank < 1 ? 1 : 0));
        CodeRgb third = lut.Node(i + (redRank < 2 ? 1 : 0), j + (greenRank < 2 ? 1 : 0), k + (blueRank < 2 ? 1 : 0));
        CodeRgb last = lut.Node(i + 1, j + 1, k + 1);
        double w0 = 1 - high, w1 = high - middle, w2 = middle - low, w3 = low;
        return new CodeRgb(
            (w0 * first.R) + (w1 * second.R) + (w2 * third.R) + (w3 * last.R),
            (w0 * first.G) + (w1 * second.G) + (w2 * third.G) + (w3 * last.G),
            (w0 * first.B) + (w1 * second.B) + (w2 * third.B) + (w3 * last.B));
    }

    /// <summary>Trilinear interpolation between the eight corners of the cell.</summary>
    public static CodeRgb Trilinear(Lut3D lut, CodeRgb code)
    {
        ArgumentNullException.ThrowIfNull(lut);
        (int i, double r) = Locate(code.R, lut.DomainMin.R, lut.DomainMax.R, lut.Size);
        (int j, double g) = Locate(code.G, lut.DomainMin.G, lut.DomainMax.G, lut.Size);
        (int k, double b) = Locate(code.B, lut.DomainMin.B, lut.DomainMax.B, lut.Size);
        CodeRgb near = Mix(
            Mix(lut.Node(i, j, k), lut.Node(i + 1, j, k), r), Mix(lut.Node(i, j + 1, k), lut.Node(i + 1, j + 1, k), r), g);
        CodeRgb far = Mix(
            Mix(lut.Node(i, j, k + 1), lut.Node(i + 1, j, k + 1), r),
            Mix(lut.Node(i, j + 1, k + 1), lut.Node(i + 1, j + 1, k + 1), r), g);
        return Mix(near, far, b);
    }

    /// <summary>Linear interpolation of three curves.</summary>
    public static CodeRgb Linear(Lut1D lut, CodeRgb code)
    {
        ArgumentNullException.ThrowIfNull(lut);
        ReadOnlySpan<float> e = lut.Entries;
        (int i, double r) = Locate(code.R, lut.DomainMin.R, lut.DomainMax.R, lut.Size);
        (int j, double g) = Locate(code.G, lut.DomainMin.G, lut.DomainMax.G, lut.Size);
        (int k, double b) = Locate(code.B, lut.DomainMin.B, lut.DomainMax.B, lut.Size);
        return new CodeRgb(
            ((1 - r) * e[3 * i]) + (r * e[(3 * i) + 3]),
            ((1 - g) * e[(3 * j) + 1]) + (g * e[(3 * j) + 4]),
            ((1 - b) * e[(3 * k) + 2]) + (b * e[(3 * k) + 5]));
    }

    // The cell 0..size-2 and the place in it 0..1 (1 only at the domain's maximum: the last cell includes its end).
    private static (int Cell, double Fraction) Locate(double code, double min, double max, int size)
    {
        double place = (code - min) / (max - min) * (size - 1);
        if (!(place > 0))
        {
            return (0, 0);
        }

        place = Math.Min(place, size - 1);
        int cell = Math.Min((int)place, size - 2);
        return (cell, place - cell);
    }

    private static CodeRgb Mix(CodeRgb a, CodeRgb b, double t) =>
        new(((1 - t) * a.R) + (t * b.R), ((1 - t) * a.G) + (t * b.G), ((1 - t) * a.B) + (t * b.B));
}
