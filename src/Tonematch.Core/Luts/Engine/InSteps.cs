using System.Runtime.Intrinsics;

namespace Tonematch.Luts.Engine;

/// <summary>Eight pixels one by one: for the ends of rows, and where the processor has no shuffle of bytes.</summary>
internal static class InSteps
{
    public static void Load<TPixels>(TPixels pixels, int at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b, int count = 8)
        where TPixels : struct, IPixels, allows ref struct
    {
        (r, g, b) = (default, default, default);
        for (int i = 0; i < count; i++)
        {
            pixels.LoadOne(at + i, out float oneR, out float oneG, out float oneB);
            (r, g, b) = (r.WithElement(i, oneR), g.WithElement(i, oneG), b.WithElement(i, oneB));
        }
    }

    public static void Store<TPixels>(TPixels pixels, int at, Vector256<float> r, Vector256<float> g, Vector256<float> b, int count = 8)
        where TPixels : struct, IPixels, allows ref struct
    {
        for (int i = 0; i < count; i++)
        {
            pixels.StoreOne(at + i, r.GetElement(i), g.GetElement(i), b.GetElement(i));
        }
    }
}
