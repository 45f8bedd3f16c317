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
    // The scratch of 64 pixels (eight vectors a step, one of them free) stays in the first-level cache.
    private const int Block = 64, StepValues = 8 * 8, ScratchValues = Block / 8 * StepValues;

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
        int whole = start + ((end - start) & ~7);
        for (int at = start; at < whole; at += Block)
        {
            int steps = Math.Min(Block, whole - at) / 8;
            for (int i = 0; i < steps; i++)
            {
                pixels.Load(at + (8 * i), out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
                TKernel.Locate(axes, ref Unsafe.Add(ref scratch, StepValues * i), r, g, b);
            }

            for (int i = 0; i < steps; i++)
            {
                TKernel.Blend(axes, ref node, ref Unsafe.Add(ref scratch, StepValues * i), out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
                pixels.Store(at + (8 * i), r, g, b);
            }
        }

        RunScalar<TPixels, TKernel>(grid, pixels, whole, end);
    }

    /// <summary>The same values pixel by pixel: for the last few, where vectors are slow, and what the tests compare with.</summary>
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
