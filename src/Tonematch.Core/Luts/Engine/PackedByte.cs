using System.Diagnostics.CodeAnalysis;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>Bytes r g b, pixel after pixel: 24 bytes for eight pixels.</summary>
internal readonly ref struct PackedByte(ReadOnlySpan<byte> rgb, Span<byte> result) : IPixels
{
    private readonly ref byte _rgb = ref MemoryMarshal.GetReference(rgb);
    private readonly ref byte _result = ref MemoryMarshal.GetReference(result);

    public float MaxCode => 255;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Load(int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        if (!Avx2.IsSupported)
        {
            InSteps.Load(this, at, out r, out g, out b);
            return;
        }

        // Pixels 0..3 are bytes 0..11, pixels 4..7 bytes 12..23: the upper lane is loaded from byte 8 on, so that
        // nothing beyond the 24 bytes is read, and finds its pixels four bytes later.
        ref byte from = ref Unsafe.Add(ref _rgb, 3 * at);
        Vector256<byte> bytes = Vector256.Create(Vector128.LoadUnsafe(ref from), Vector128.LoadUnsafe(ref from, 8));
        r = Channel(bytes, 0);
        g = Channel(bytes, 1);
        b = Channel(bytes, 2);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Store(int at, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        if (!Avx2.IsSupported)
        {
            InSteps.Store(this, at, r, g, b);
            return;
        }

        // r g b 0 in each 32-bit word, then the zeros squeezed out.
        Vector256<int> words = Codes.Of(r, 255) | (Codes.Of(g, 255) << 8) | (Codes.Of(b, 255) << 16);
        Vector128<byte> squeeze = Vector128.Create((byte)0, 1, 2, 4, 5, 6, 8, 9, 10, 12, 13, 14, 128, 128, 128, 128);
        Vector256<byte> bytes = Avx2.Shuffle(words.AsByte(), Vector256.Create(squeeze, squeeze));
        ref byte to = ref Unsafe.Add(ref _result, 3 * at);
        bytes.GetLower().StoreUnsafe(ref to);
        Unsafe.WriteUnaligned(ref Unsafe.Add(ref to, 12), bytes.GetUpper().AsUInt64().ToScalar());
        Unsafe.WriteUnaligned(ref Unsafe.Add(ref to, 20), bytes.GetUpper().AsUInt32().GetElement(2));
    }

    public void LoadOne(int at, out float r, out float g, out float b)
    {
        ref byte from = ref Unsafe.Add(ref _rgb, 3 * at);
        (r, g, b) = (from, Unsafe.Add(ref from, 1), Unsafe.Add(ref from, 2));
    }

    public void StoreOne(int at, float r, float g, float b)
    {
        ref byte to = ref Unsafe.Add(ref _result, 3 * at);
        to = (byte)Codes.Of(r, 255);
        Unsafe.Add(ref to, 1) = (byte)Codes.Of(g, 255);
        Unsafe.Add(ref to, 2) = (byte)Codes.Of(b, 255);
    }

    // Byte c of each pixel, widened to 32 bits by putting zeros (index 128) beside it.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Channel(Vector256<byte> bytes, [ConstantExpected] byte c)
    {
        Vector256<byte> pick = Vector256.Create(
            c, 128, 128, 128, (byte)(c + 3), 128, 128, 128, (byte)(c + 6), 128, 128, 128, (byte)(c + 9), 128, 128, 128,
            (byte)(c + 4), 128, 128, 128, (byte)(c + 7), 128, 128, 128, (byte)(c + 10), 128, 128, 128, (byte)(c + 13), 128, 128, 128);
        return Vector256.ConvertToSingle(Avx2.Shuffle(bytes, pick).AsInt32());
    }
}
