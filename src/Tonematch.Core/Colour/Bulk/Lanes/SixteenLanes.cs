using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Colour.Bulk.Lanes;

/// <summary>Sixteen floats in one register of 512 bits.</summary>
internal readonly struct SixteenLanes(Vector512<float> value) : ILanes<SixteenLanes>
{
    private const MethodImplOptions Inline = MethodImplOptions.AggressiveInlining;

    private readonly Vector512<float> _v = value;

    public static int Count => Vector512<float>.Count;

    [MethodImpl(Inline)]
    public static SixteenLanes All(float value) => new(Vector512.Create(value));

    [MethodImpl(Inline)]
    public static SixteenLanes operator +(SixteenLanes x, SixteenLanes y) => new(x._v + y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator -(SixteenLanes x, SixteenLanes y) => new(x._v - y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator *(SixteenLanes x, SixteenLanes y) => new(x._v * y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator /(SixteenLanes x, SixteenLanes y) => new(x._v / y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator -(SixteenLanes x) => new(-x._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator &(SixteenLanes x, SixteenLanes y) => new(x._v & y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator |(SixteenLanes x, SixteenLanes y) => new(x._v | y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator ^(SixteenLanes x, SixteenLanes y) => new(x._v ^ y._v);

    [MethodImpl(Inline)]
    public static SixteenLanes operator >(SixteenLanes x, SixteenLanes y) => new(Vector512.GreaterThan(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes operator <(SixteenLanes x, SixteenLanes y) => new(Vector512.LessThan(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes operator >=(SixteenLanes x, SixteenLanes y) => new(Vector512.GreaterThanOrEqual(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes operator <=(SixteenLanes x, SixteenLanes y) => new(Vector512.LessThanOrEqual(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Same(SixteenLanes x, SixteenLanes y) => new(Vector512.Equals(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Select(SixteenLanes mask, SixteenLanes x, SixteenLanes y) => new(Vector512.ConditionalSelect(mask._v, x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Without(SixteenLanes x, SixteenLanes mask) => new(Vector512.AndNot(x._v, mask._v));

    [MethodImpl(Inline)]
    public static SixteenLanes MultiplyAdd(SixteenLanes x, SixteenLanes y, SixteenLanes z) => new(Vector512.MultiplyAddEstimate(x._v, y._v, z._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Fused(SixteenLanes x, SixteenLanes y, SixteenLanes z) => new(Vector512.FusedMultiplyAdd(x._v, y._v, z._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Sqrt(SixteenLanes x) => new(Vector512.Sqrt(x._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Abs(SixteenLanes x) => new(Vector512.Abs(x._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Min(SixteenLanes x, SixteenLanes y) => new(Vector512.MinNative(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Max(SixteenLanes x, SixteenLanes y) => new(Vector512.MaxNative(x._v, y._v));

    [MethodImpl(Inline)]
    public static SixteenLanes Round(SixteenLanes x) => new(Vector512.Round(x._v));

    [MethodImpl(Inline)]
    public static SixteenLanes RootGuess(SixteenLanes x, float slope, float offset) => new(Vector512.ConvertToInt32Native(
        Vector512.MultiplyAddEstimate(
            Vector512.ConvertToSingle(x._v.AsInt32()), Vector512.Create(slope), Vector512.Create(offset))).AsSingle());

    [MethodImpl(Inline)]
    public static SixteenLanes TimesPowerOfTwo(SixteenLanes x, SixteenLanes power) =>
        new((x._v.AsInt32() + (Vector512.ConvertToInt32Native(power._v) << 23)).AsSingle());

    [MethodImpl(Inline)]
    public static (SixteenLanes Exponent, SixteenLanes Mantissa) Split(SixteenLanes x)
    {
        Vector512<int> bits = x._v.AsInt32();
        Vector512<int> exponent = (bits - Vector512.Create(0x3f3504f3)) >> 23; // the bits of sqrt(1/2)
        return (new(Vector512.ConvertToSingle(exponent)), new((bits - (exponent << 23)).AsSingle()));
    }
}
