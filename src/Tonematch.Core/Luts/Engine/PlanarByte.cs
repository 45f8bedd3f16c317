using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>Three planes of bytes.</summary>
internal readonly ref struct PlanarByte(
    ReadOnlySpan<byte> r, ReadOnlySpan<byte> g, ReadOnlySpan<byte> b, Span<byte> outR, Span<byte> outG, Span<byte> outB)
    : IPixels
{
    private readonly ref byte _r = ref MemoryMarshal.GetReference(r);
    private readonly ref byte _g = ref MemoryMarshal.GetReference(g);
    private readonly ref byte _b = ref MemoryMarshal.GetReference(b);
    private readonly ref byte _outR = ref MemoryMarshal.GetReference(outR);
    private readonly ref byte _outG = ref MemoryMarshal.GetReference(outG);
    private readonly ref byte _outB = ref MemoryMarshal.GetReference(outB);

    public float MaxCode => 255;

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
        Eight(ref Unsafe.Add(ref _outR, at), Codes.Of(r, 255));
        Eight(ref Unsafe.Add(ref _outG, at), Codes.Of(g, 255));
        Eight(ref Unsafe.Add(ref _outB, at), Codes.Of(b, 255));
    }

    public void LoadOne(int at, out float r, out float g, out float b) =>
        (r, g, b) = (Unsafe.Add(ref _r, at), Unsafe.Add(ref _g, at), Unsafe.Add(ref _b, at));

    public void StoreOne(int at, float r, float g, float b) =>
        (Unsafe.Add(ref _outR, at), Unsafe.Add(ref _outG, at), Unsafe.Add(ref _outB, at)) =
        ((byte)Codes.Of(r, 255), (byte)Codes.Of(g, 255), (byte)Codes.Of(b, 255));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Eight(ref byte from)
    {
        Vector128<byte> bytes = Vector128.CreateScalarUnsafe(Unsafe.ReadUnaligned<ulong>(ref from)).AsByte();
        if (Avx2.IsSupported)
        {
            return Vector256.ConvertToSingle(Avx2.ConvertToVector256Int32(bytes));
        }

        Vector128<ushort> words = Vector128.WidenLower(bytes);
        return Vector256.ConvertToSingle(
            Vector256.Create(Vector128.WidenLower(words), Vector128.WidenUpper(words)).AsInt32());
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Eight(ref byte to, Vector256<int> codes)
    {
        Vector128<ushort> words = Sse41.IsSupported
            ? Sse41.PackUnsignedSaturate(codes.GetLower(), codes.GetUpper())
            : Vector128.Narrow(codes.GetLower().AsUInt32(), codes.GetUpper().AsUInt32());
        Vector128<byte> bytes = Sse2.IsSupported
            ? Sse2.PackUnsignedSaturate(words.AsInt16(), words.AsInt16())
            : Vector128.Narrow(words, words);
        Unsafe.WriteUnaligned(ref to, bytes.AsUInt64().ToScalar());
    }
}
