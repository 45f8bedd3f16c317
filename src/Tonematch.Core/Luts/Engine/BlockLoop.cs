using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Luts.Engine;

/// <summary>
/// Pixels in blocks, each in two passes: first the places and weights of all its pixels, then the corners. In one pass
/// the chain from a code to its colour is longer than what the processor keeps in flight, and the loads wait.
/// </summary>
internal static class BlockLoop
{
    /// <summary>Pixels a block: the scratch (seven values a pixel) stays in the first-level cache.</summary>
    public const int Block = 64;

    private const int ScratchValues = 7 * Block;

    [ThreadStatic]
    private static (float[] Memory, int Start)? t_scratch;

    /// <summary>The pixels from <paramref name="start"/> up to <paramref name="end"/>. Result and input may be one.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Run<TPixels, TKernel>(NodeGrid grid, TPixels pixels, int start, int end)
        where TPixels : struct, IPixels, allows ref struct
        where TKernel : struct, IInterpolator
    {
        (float[] memory, int from) = t_scratch ??= NodeGrid.Aligned(ScratchValues);
        ref float scratch = ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(memory), from);
        ref float node = ref grid.First;
        Axes axes = new(grid);
        for (int at = start; at < end; at += Block)
        {
            int count = Math.Min(Block, end - at), full = count & ~7;
            for (int i = 0; i < full; i += 8)
            {
                pixels.Load(at + i, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
                TKernel.Locate(axes, ref Unsafe.Add(ref scratch, i), r, g, b);
            }

            if (full < count)
            {
                InSteps.Load(pixels, at + full, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b, count - full);
                TKernel.Locate(axes, ref Unsafe.Add(ref scratch, full), r, g, b);
            }

            for (int i = 0; i < full; i += 8)
            {
                TKernel.Blend(axes, ref node, ref Unsafe.Add(ref scratch, i), out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
                pixels.Store(at + i, r, g, b);
            }

            if (full < count)
            {
                TKernel.Blend(axes, ref node, ref Unsafe.Add(ref scratch, full), out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
                InSteps.Store(pixels, at + full, r, g, b, count - full);
            }
        }
    }

    /// <summary>The same values pixel by pixel: where vectors are slow, and what the tests compare with.</summary>
    public static void RunScalar<TPixels, TKernel>(NodeGrid grid, TPixels pixels, int start, int end)
        where TPixels : struct, IPixels, allows ref struct
        where TKernel : struct, IInterpolator
    {
        for (int at = start; at < end; at++)
        {
            pixels.LoadOne(at, out float r, out float g, out float b);
            Vector128<float> result = TKernel.One(grid, r, g, b);
            pixels.StoreOne(at, result.GetElement(0), result.GetElement(1), result.GetElement(2));
        }
    }
}
