using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Luts.Engine;

/// <summary>Three planes of floats.</summary>
internal readonly ref struct PlanarFloat(
    ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, Span<float> outR, Span<float> outG, Span<float> outB)
    : IPixels
{
    private readonly ref float _r = ref MemoryMarshal.GetReference(r);
    private readonly ref float _g = ref MemoryMarshal.GetReference(g);
    private readonly ref float _b = ref MemoryMarshal.GetReference(b);
    private readonly ref float _outR = ref MemoryMarshal.GetReference(outR);
    private readonly ref float _outG = ref MemoryMarshal.GetReference(outG);
    private readonly ref float _outB = ref MemoryMarshal.GetReference(outB);

    public float MaxCode => 1;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Load(int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        r = Vector256.LoadUnsafe(ref _r, (nuint)at);
        g = Vector256.LoadUnsafe(ref _g, (nuint)at);
        b = Vector256.LoadUnsafe(ref _b, (nuint)at);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public void Store(int at, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        r.StoreUnsafe(ref _outR, (nuint)at);
        g.StoreUnsafe(ref _outG, (nuint)at);
        b.StoreUnsafe(ref _outB, (nuint)at);
    }

    public void LoadOne(int at, out float r, out float g, out float b) =>
        (r, g, b) = (Unsafe.Add(ref _r, at), Unsafe.Add(ref _g, at), Unsafe.Add(ref _b, at));

    public void StoreOne(int at, float r, float g, float b) =>
        (Unsafe.Add(ref _outR, at), Unsafe.Add(ref _outG, at), Unsafe.Add(ref _outB, at)) = (r, g, b);
}
