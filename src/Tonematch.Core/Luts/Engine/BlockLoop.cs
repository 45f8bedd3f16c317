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
        Axes axes = new(grid);
        int whole = start + ((end - start) & ~7);
        for (int at = start; at < whole; at += Block)
        {
            int to = Math.Min(at + Block, whole);
            Locate<TPixels, TKernel>(axes, pixels, at, to, ref scratch);
            Blend<TPixels, TKernel>(axes, ref grid.First, pixels, at, to, ref scratch);
        }

        RunScalar<TPixels, TKernel>(grid, pixels, whole, end);
    }

    // Each pass is a method of its own: in one, the registers do not suffice, and what goes to the stack and back in the
    // inner loops costs up to a half where the loads of corners wait.
    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static void Locate<TPixels, TKernel>(in Axes axes, in TPixels pixels, int from, int to, ref float scratch)
        where TPixels : struct, IPixels, allows ref struct
        where TKernel : struct, IInterpolator
    {
        for (int at = from; at < to; at += 8)
        {
            pixels.Load(at, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
            TKernel.Locate(axes, ref scratch, r, g, b);
            scratch = ref Unsafe.Add(ref scratch, StepValues);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static void Blend<TPixels, TKernel>(in Axes axes, ref float node, in TPixels pixels, int from, int to, ref float scratch)
        where TPixels : struct, IPixels, allows ref struct
        where TKernel : struct, IInterpolator
    {
        for (int at = from; at < to; at += 8)
        {
            TKernel.Blend(axes, ref node, ref scratch, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
            pixels.Store(at, r, g, b);
            scratch = ref Unsafe.Add(ref scratch, StepValues);
        }
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
