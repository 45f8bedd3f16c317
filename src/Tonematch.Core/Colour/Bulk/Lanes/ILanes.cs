namespace Tonematch.Colour.Bulk.Lanes;

/// <summary>
/// Some floats side by side in one register, and what the colour kernels need to do with them. The kernels are written
/// once for any width; the compiler makes one tight loop for each (<see cref="EightLanes"/>, <see cref="SixteenLanes"/>).
/// </summary>
/// <remarks>
/// Masks are lanes too, all bits set or none. The portable vectors beneath run on any processor: where a width or fused
/// multiply-adds are missing, the runtime puts the same operations together from smaller ones, and results differ by
/// rounding only.
/// </remarks>
internal interface ILanes<TSelf>
    where TSelf : struct, ILanes<TSelf>
{
    /// <summary>How many floats.</summary>
    static abstract int Count { get; }

    /// <summary>The same value in every lane.</summary>
    static abstract TSelf All(float value);

    static abstract TSelf operator +(TSelf x, TSelf y);

    static abstract TSelf operator -(TSelf x, TSelf y);

    static abstract TSelf operator *(TSelf x, TSelf y);

    static abstract TSelf operator /(TSelf x, TSelf y);

    static abstract TSelf operator -(TSelf x);

    static abstract TSelf operator &(TSelf x, TSelf y);

    static abstract TSelf operator |(TSelf x, TSelf y);

    static abstract TSelf operator ^(TSelf x, TSelf y);

    static abstract TSelf operator >(TSelf x, TSelf y);

    static abstract TSelf operator <(TSelf x, TSelf y);

    static abstract TSelf operator >=(TSelf x, TSelf y);

    static abstract TSelf operator <=(TSelf x, TSelf y);

    /// <summary>A mask of the lanes that are equal.</summary>
    static abstract TSelf Same(TSelf x, TSelf y);

    /// <summary>The lanes of x where the mask is set, else those of y.</summary>
    static abstract TSelf Select(TSelf mask, TSelf x, TSelf y);

    /// <summary>x without the bits of the mask.</summary>
    static abstract TSelf Without(TSelf x, TSelf mask);

    /// <summary>x y + z, rounded once where the processor can, else twice.</summary>
    static abstract TSelf MultiplyAdd(TSelf x, TSelf y, TSelf z);

    /// <summary>x y + z, rounded once on any processor.</summary>
    static abstract TSelf Fused(TSelf x, TSelf y, TSelf z);

    static abstract TSelf Sqrt(TSelf x);

    static abstract TSelf Abs(TSelf x);

    /// <summary>The smaller one; either when one is NaN.</summary>
    static abstract TSelf Min(TSelf x, TSelf y);

    /// <summary>The larger one; either when one is NaN.</summary>
    static abstract TSelf Max(TSelf x, TSelf y);

    /// <summary>To the nearest whole number.</summary>
    static abstract TSelf Round(TSelf x);

    /// <summary>
    /// A first guess of a root within 3 %: the bits of a positive float, read as an integer, are its logarithm but for a
    /// small bend; they are mapped linearly and read as a float again.
    /// </summary>
    static abstract TSelf RootGuess(TSelf x, float slope, float offset);

    /// <summary>x times 2^power, for whole powers that keep the result in range.</summary>
    static abstract TSelf TimesPowerOfTwo(TSelf x, TSelf power);

    /// <summary>The exponent of x, so chosen that the mantissa lies in sqrt(1/2)..sqrt(2), and the mantissa.</summary>
    static abstract (TSelf Exponent, TSelf Mantissa) Split(TSelf x);
}
