using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>16-bit words r g b, pixel after pixel: 48 bytes for eight pixels.</summary>
internal readonly ref struct PackedUInt16(ReadOnlySpan<ushort> rgb, Span<ushort> result, float maxCode) : IPixels
{
    private const byte No = 128;

    private readonly ref ushort _rgb = ref MemoryMarshal.GetReference(rgb);
    private readonly ref ushort _result = ref MemoryMarshal.GetReference(result);

    public float MaxCode { get; } = maxCode;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Load(int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        if (!Avx2.IsSupported)
        {
            InSteps.Load(this, at, out r, out g, out b);
            return;
        }

        // Four pixels a lane are 24 bytes: once from byte 0 on, once from byte 8 on. Shuffles pick a channel's bytes
        // from both (index 128 gives zero) and widen them to 32 bits.
        ref byte from = ref Unsafe.As<ushort, byte>(ref Unsafe.Add(ref _rgb, 3 * at));
        Vector256<byte> early = Vector256.Create(Vector128.LoadUnsafe(ref from), Vector128.LoadUnsafe(ref from, 24));
        Vector256<byte> late = Vector256.Create(Vector128.LoadUnsafe(ref from, 8), Vector128.LoadUnsafe(ref from, 32));
        r = Channel(
            early, Vector128.Create(0, 1, No, No, 6, 7, No, No, 12, 13, No, No, No, No, No, No),
            late, Vector128.Create(No, No, No, No, No, No, No, No, No, No, No, No, 10, 11, No, No));
        g = Channel(
            early, Vector128.Create(2, 3, No, No, 8, 9, No, No, 14, 15, No, No, No, No, No, No),
            late, Vector128.Create(No, No, No, No, No, No, No, No, No, No, No, No, 12, 13, No, No));
        b = Channel(
            early, Vector128.Create(4, 5, No, No, 10, 11, No, No, No, No, No, No, No, No, No, No),
            late, Vector128.Create(No, No, No, No, No, No, No, No, 8, 9, No, No, 14, 15, No, No));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Store(int at, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        if (!Avx2.IsSupported)
        {
            InSteps.Store(this, at, r, g, b);
            return;
        }

        // r g in each 32-bit word, b in another: four pixels a lane become 16 bytes (r0 g0 b0 r1 g1 b1 r2 g2) and
        // 8 bytes (b2 r3 g3 b3).
        Vector256<byte> rg = (Codes.Of(r, MaxCode) | (Codes.Of(g, MaxCode) << 16)).AsByte();
        Vector256<byte> blue = Codes.Of(b, MaxCode).AsByte();
        Vector256<byte> first = Both(
            rg, Vector128.Create(0, 1, 2, 3, No, No, 4, 5, 6, 7, No, No, 8, 9, 10, 11),
            blue, Vector128.Create(No, No, No, No, 0, 1, No, No, No, No, 4, 5, No, No, No, No));
        Vector256<byte> rest = Both(
            rg, Vector128.Create(No, No, 12, 13, 14, 15, No, No, No, No, No, No, No, No, No, No),
            blue, Vector128.Create(8, 9, No, No, No, No, 12, 13, No, No, No, No, No, No, No, No));
        ref byte to = ref Unsafe.As<ushort, byte>(ref Unsafe.Add(ref _result, 3 * at));
        first.GetLower().StoreUnsafe(ref to);
        Unsafe.WriteUnaligned(ref Unsafe.Add(ref to, 16), rest.GetLower().AsUInt64().ToScalar());
        first.GetUpper().StoreUnsafe(ref to, 24);
        Unsafe.WriteUnaligned(ref Unsafe.Add(ref to, 40), rest.GetUpper().AsUInt64().ToScalar());
    }

    public void LoadOne(int at, out float r, out float g, out float b)
    {
        ref ushort from = ref Unsafe.Add(ref _rgb, 3 * at);
        (r, g, b) = (from, Unsafe.Add(ref from, 1), Unsafe.Add(ref from, 2));
    }

    public void StoreOne(int at, float r, float g, float b)
    {
        ref ushort to = ref Unsafe.Add(ref _result, 3 * at);
        to = (ushort)Codes.Of(r, MaxCode);
        Unsafe.Add(ref to, 1) = (ushort)Codes.Of(g, MaxCode);
        Unsafe.Add(ref to, 2) = (ushort)Codes.Of(b, MaxCode);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Channel(
        Vector256<byte> early, Vector128<byte> fromEarly, Vector256<byte> late, Vector128<byte> fromLate) =>
        Vector256.ConvertToSingle(Both(early, fromEarly, late, fromLate).AsInt32());

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<byte> Both(Vector256<byte> a, Vector128<byte> fromA, Vector256<byte> b, Vector128<byte> fromB) =>
        Avx2.Shuffle(a, Vector256.Create(fromA, fromA)) | Avx2.Shuffle(b, Vector256.Create(fromB, fromB));
}
