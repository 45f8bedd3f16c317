using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>Three planes of 16-bit words that hold codes of 10, 12 or 16 bits.</summary>
internal readonly ref struct PlanarUInt16(
    ReadOnlySpan<ushort> r, ReadOnlySpan<ushort> g, ReadOnlySpan<ushort> b,
    Span<ushort> outR, Span<ushort> outG, Span<ushort> outB, float maxCode)
    : IPixels
{
    private readonly ref ushort _r = ref MemoryMarshal.GetReference(r);
    private readonly ref ushort _g = ref MemoryMarshal.GetReference(g);
    private readonly ref ushort _b = ref MemoryMarshal.GetReference(b);
    private readonly ref ushort _outR = ref MemoryMarshal.GetReference(outR);
    private readonly ref ushort _outG = ref MemoryMarshal.GetReference(outG);
    private readonly ref ushort _outB = ref MemoryMarshal.GetReference(outB);

    public float MaxCode { get; } = maxCode;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Load(int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        r = Eight(ref Unsafe.Add(ref _r, at));
        g = Eight(ref Unsafe.Add(ref _g, at));
        b = Eight(ref Unsafe.Add(ref _b, at));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Store(int at, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        Eight(ref Unsafe.Add(ref _outR, at), Codes.Of(r, MaxCode));
        Eight(ref Unsafe.Add(ref _outG, at), Codes.Of(g, MaxCode));
        Eight(ref Unsafe.Add(ref _outB, at), Codes.Of(b, MaxCode));
    }

    public void LoadOne(int at, out float r, out float g, out float b) =>
        (r, g, b) = (Unsafe.Add(ref _r, at), Unsafe.Add(ref _g, at), Unsafe.Add(ref _b, at));

    public void StoreOne(int at, float r, float g, float b) =>
        (Unsafe.Add(ref _outR, at), Unsafe.Add(ref _outG, at), Unsafe.Add(ref _outB, at)) =
        ((ushort)Codes.Of(r, MaxCode), (ushort)Codes.Of(g, MaxCode), (ushort)Codes.Of(b, MaxCode));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Eight(ref ushort from)
    {
        Vector128<ushort> words = Vector128.LoadUnsafe(ref from);
        return Vector256.ConvertToSingle(Avx2.IsSupported
            ? Avx2.ConvertToVector256Int32(words)
            : Vector256.Create(Vector128.WidenLower(words), Vector128.WidenUpper(words)).AsInt32());
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Eight(ref ushort to, Vector256<int> codes)
    {
        Vector128<ushort> words = Sse41.IsSupported
            ? Sse41.PackUnsignedSaturate(codes.GetLower(), codes.GetUpper())
            : Vector128.Narrow(codes.GetLower().AsUInt32(), codes.GetUpper().AsUInt32());
        words.StoreUnsafe(ref to);
    }
}
