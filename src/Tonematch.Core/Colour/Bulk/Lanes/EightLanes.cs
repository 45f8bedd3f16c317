using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Colour.Bulk.Lanes;

/// <summary>Eight floats in one register of 256 bits.</summary>
internal readonly struct EightLanes(Vector256<float> value) : ILanes<EightLanes>
{
    private const MethodImplOptions Inline = MethodImplOptions.AggressiveInlining;

    private readonly Vector256<float> _v = value;

    public static int Count => Vector256<float>.Count;

    [MethodImpl(Inline)]
    public static EightLanes All(float value) => new(Vector256.Create(value));

    [MethodImpl(Inline)]
    public static EightLanes operator +(EightLanes x, EightLanes y) => new(x._v + y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator -(EightLanes x, EightLanes y) => new(x._v - y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator *(EightLanes x, EightLanes y) => new(x._v * y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator /(EightLanes x, EightLanes y) => new(x._v / y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator -(EightLanes x) => new(-x._v);

    [MethodImpl(Inline)]
    public static EightLanes operator &(EightLanes x, EightLanes y) => new(x._v & y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator |(EightLanes x, EightLanes y) => new(x._v | y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator ^(EightLanes x, EightLanes y) => new(x._v ^ y._v);

    [MethodImpl(Inline)]
    public static EightLanes operator >(EightLanes x, EightLanes y) => new(Vector256.GreaterThan(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes operator <(EightLanes x, EightLanes y) => new(Vector256.LessThan(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes operator >=(EightLanes x, EightLanes y) => new(Vector256.GreaterThanOrEqual(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes operator <=(EightLanes x, EightLanes y) => new(Vector256.LessThanOrEqual(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes Same(EightLanes x, EightLanes y) => new(Vector256.Equals(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes Select(EightLanes mask, EightLanes x, EightLanes y) => new(Vector256.ConditionalSelect(mask._v, x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes Without(EightLanes x, EightLanes mask) => new(Vector256.AndNot(x._v, mask._v));

    [MethodImpl(Inline)]
    public static EightLanes MultiplyAdd(EightLanes x, EightLanes y, EightLanes z) => new(Vector256.MultiplyAddEstimate(x._v, y._v, z._v));

    [MethodImpl(Inline)]
    public static EightLanes Fused(EightLanes x, EightLanes y, EightLanes z) => new(Vector256.FusedMultiplyAdd(x._v, y._v, z._v));

    [MethodImpl(Inline)]
    public static EightLanes Sqrt(EightLanes x) => new(Vector256.Sqrt(x._v));

    [MethodImpl(Inline)]
    public static EightLanes Abs(EightLanes x) => new(Vector256.Abs(x._v));

    [MethodImpl(Inline)]
    public static EightLanes Min(EightLanes x, EightLanes y) => new(Vector256.MinNative(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes Max(EightLanes x, EightLanes y) => new(Vector256.MaxNative(x._v, y._v));

    [MethodImpl(Inline)]
    public static EightLanes Round(EightLanes x) => new(Vector256.Round(x._v));

    [MethodImpl(Inline)]
    public static EightLanes RootGuess(EightLanes x, float slope, float offset) => new(Vector256.ConvertToInt32Native(
        Vector256.MultiplyAddEstimate(
            Vector256.ConvertToSingle(x._v.AsInt32()), Vector256.Create(slope), Vector256.Create(offset))).AsSingle());

    [MethodImpl(Inline)]
    public static EightLanes TimesPowerOfTwo(EightLanes x, EightLanes power) =>
        new((x._v.AsInt32() + (Vector256.ConvertToInt32Native(power._v) << 23)).AsSingle());

    [MethodImpl(Inline)]
    public static (EightLanes Exponent, EightLanes Mantissa) Split(EightLanes x)
    {
        Vector256<int> bits = x._v.AsInt32();
        Vector256<int> exponent = (bits - Vector256.Create(0x3f3504f3)) >> 23; // the bits of sqrt(1/2)
        return (new(Vector256.ConvertToSingle(exponent)), new((bits - (exponent << 23)).AsSingle()));
    }
}
