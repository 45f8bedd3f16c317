using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>Converts pixels (r g b 0 each) to channels.</summary>
internal static class Transposed
{
    /// <summary>
    /// Four registers, each with the pixels j and j + 4, become eight reds, eight greens, eight blues in order: this is
    /// why these two share a register.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Channels(
        Vector256<float> p04, Vector256<float> p15, Vector256<float> p26, Vector256<float> p37,
        out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        if (Avx.IsSupported)
        {
            Vector256<float> rg01 = Avx.UnpackLow(p04, p15), rg23 = Avx.UnpackLow(p26, p37);
            Vector256<float> b01 = Avx.UnpackHigh(p04, p15), b23 = Avx.UnpackHigh(p26, p37);
            r = Avx.UnpackLow(rg01.AsDouble(), rg23.AsDouble()).AsSingle();
            g = Avx.UnpackHigh(rg01.AsDouble(), rg23.AsDouble()).AsSingle();
            b = Avx.UnpackLow(b01.AsDouble(), b23.AsDouble()).AsSingle();
            return;
        }

        r = Channel(p04, p15, p26, p37, 0);
        g = Channel(p04, p15, p26, p37, 1);
        b = Channel(p04, p15, p26, p37, 2);

        static Vector256<float> Channel(Vector256<float> a, Vector256<float> b, Vector256<float> c, Vector256<float> d, int i) =>
            Vector256.Create(
                a.GetElement(i), b.GetElement(i), c.GetElement(i), d.GetElement(i),
                a.GetElement(i + 4), b.GetElement(i + 4), c.GetElement(i + 4), d.GetElement(i + 4));
    }
}
