using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Luts.Tables;

namespace Tonematch.Luts.Engine;

/// <summary>
/// Tetrahedral interpolation, four corners per pixel (see <see cref="LutInterpolation.Tetrahedral"/>), over blocks of
/// pixels in two passes: first all places and weights, then the corners. In a single pass the dependency chain from a
/// code to its colour is longer than the processor can overlap, and the loads stall.
/// </summary>
internal static class TetrahedralKernel
{
    // Vectors of eight; the scratch memory of 64 pixels (seven vectors per step, and one free) stays in the first-level
    // cache.
    private const int N = 8, Block = 64, StepValues = 8 * N, ScratchValues = Block / N * StepValues;

    /// <summary>Whole vectors of eight pixels. Results and input may be the same planes.</summary>
    public static void Run(
        NodeGrid grid, ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, Span<float> outR, Span<float> outG, Span<float> outB)
    {
        ref float scratch = ref MemoryMarshal.GetReference((Span<float>)stackalloc float[ScratchValues]);
        Axes axes = new(grid);
        for (int at = 0; at < r.Length; at += Block)
        {
            int n = Math.Min(Block, r.Length - at);
            Locate(axes, r.Slice(at, n), g.Slice(at, n), b.Slice(at, n), ref scratch);
            Blend(axes, ref grid.First, outR.Slice(at, n), outG.Slice(at, n), outB.Slice(at, n), ref scratch);
        }
    }

    // Each pass is a separate method: in one method there are not enough registers, and spilling in the inner loops
    // costs up to half the speed where corner loads stall.
    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static void Locate(in Axes axes, ReadOnlySpan<float> r, ReadOnlySpan<float> g, ReadOnlySpan<float> b, ref float scratch)
    {
        ref float fromR = ref MemoryMarshal.GetReference(r), fromG = ref MemoryMarshal.GetReference(g), fromB = ref MemoryMarshal.GetReference(b);
        for (nuint at = 0; at < (nuint)r.Length; at += N)
        {
            Locate(axes, ref scratch, Vector256.LoadUnsafe(ref fromR, at), Vector256.LoadUnsafe(ref fromG, at), Vector256.LoadUnsafe(ref fromB, at));
            scratch = ref Unsafe.Add(ref scratch, StepValues);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization | MethodImplOptions.NoInlining)]
    private static void Blend(in Axes axes, ref float node, Span<float> outR, Span<float> outG, Span<float> outB, ref float scratch)
    {
        ref float toR = ref MemoryMarshal.GetReference(outR), toG = ref MemoryMarshal.GetReference(outG), toB = ref MemoryMarshal.GetReference(outB);
        for (nuint at = 0; at < (nuint)outR.Length; at += N)
        {
            Blend(axes, ref node, ref scratch, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);
            r.StoreUnsafe(ref toR, at);
            g.StoreUnsafe(ref toG, at);
            b.StoreUnsafe(ref toB, at);
            scratch = ref Unsafe.Add(ref scratch, StepValues);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Locate(in Axes axes, ref float scratch, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        Vector256<float> cellR = axes.Cell(r, axes.ScaleR, axes.OffsetR, out Vector256<float> fr);
        Vector256<float> cellG = axes.Cell(g, axes.ScaleG, axes.OffsetG, out Vector256<float> fg);
        Vector256<float> cellB = axes.Cell(b, axes.ScaleB, axes.OffsetB, out Vector256<float> fb);
        Vector256<int> first = axes.Corner(cellR, cellG, cellB);

        // The second corner is one step along the axis with the largest fraction, the third all but one step along the
        // axis with the smallest. Ties do not matter: the corner they decide has weight 0.
        Vector256<float> highGB = Vector256.MaxNative(fg, fb), lowRG = Vector256.MinNative(fr, fg), highRG = Vector256.MaxNative(fr, fg);
        Vector256<float> high = Vector256.MaxNative(fr, highGB), low = Vector256.MinNative(lowRG, fb);
        Vector256<float> middle = Vector256.MaxNative(lowRG, Vector256.MinNative(highRG, fb));
        Vector256<int> largest = Vector256.ConditionalSelect(
            Vector256.GreaterThanOrEqual(fr, highGB).AsInt32(), axes.IntStepR,
            Vector256.ConditionalSelect(Vector256.GreaterThanOrEqual(fg, fb).AsInt32(), axes.IntStepG, axes.IntStepB));
        Vector256<int> smallest = Vector256.ConditionalSelect(
            Vector256.LessThanOrEqual(fb, lowRG).AsInt32(), axes.IntStepB,
            Vector256.ConditionalSelect(Vector256.LessThanOrEqual(fg, fr).AsInt32(), axes.IntStepG, axes.IntStepR));

        first.AsSingle().StoreUnsafe(ref scratch);
        (first + largest).AsSingle().StoreUnsafe(ref scratch, N);
        (first + Vector256.Create(axes.Diagonal) - smallest).AsSingle().StoreUnsafe(ref scratch, 2 * N);
        (Vector256<float>.One - high).StoreUnsafe(ref scratch, 3 * N);
        (high - middle).StoreUnsafe(ref scratch, 4 * N);
        (middle - low).StoreUnsafe(ref scratch, 5 * N);
        low.StoreUnsafe(ref scratch, 6 * N);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Blend(
        in Axes axes, ref float node, ref float scratch, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        Vector256<float> w0 = Vector256.LoadUnsafe(ref scratch, 3 * N), w1 = Vector256.LoadUnsafe(ref scratch, 4 * N);
        Vector256<float> w2 = Vector256.LoadUnsafe(ref scratch, 5 * N), w3 = Vector256.LoadUnsafe(ref scratch, 6 * N);
        // Index patterns are literals, so that each is one permutation within the register's halves. The last corner
        // has the first one's position in a table that begins one diagonal later: this saves an addition per pixel and
        // a register during the other loads.
        ref float far = ref Unsafe.Add(ref node, axes.Diagonal);
        Vector256<float> p04 = Pair(ref node, ref far, ref scratch, 0,
            Vector256.Shuffle(w0, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)), Vector256.Shuffle(w1, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)),
            Vector256.Shuffle(w2, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)), Vector256.Shuffle(w3, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)));
        Vector256<float> p15 = Pair(ref node, ref far, ref scratch, 1,
            Vector256.Shuffle(w0, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)), Vector256.Shuffle(w1, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)),
            Vector256.Shuffle(w2, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)), Vector256.Shuffle(w3, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)));
        Vector256<float> p26 = Pair(ref node, ref far, ref scratch, 2,
            Vector256.Shuffle(w0, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)), Vector256.Shuffle(w1, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)),
            Vector256.Shuffle(w2, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)), Vector256.Shuffle(w3, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)));
        Vector256<float> p37 = Pair(ref node, ref far, ref scratch, 3,
            Vector256.Shuffle(w0, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)), Vector256.Shuffle(w1, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)),
            Vector256.Shuffle(w2, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)), Vector256.Shuffle(w3, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)));
        Transposed.Channels(p04, p15, p26, p37, out r, out g, out b);
    }

    /// <summary>One pixel: the specification of the two passes, which give the same bits.</summary>
    public static Vector128<float> One(NodeGrid grid, float r, float g, float b)
    {
        int first = (Axes.Cell(r, grid.ScaleR, grid.OffsetR, grid.Last, out float fr) * NodeGrid.StepR)
            + (Axes.Cell(g, grid.ScaleG, grid.OffsetG, grid.Last, out float fg) * grid.StepG)
            + (Axes.Cell(b, grid.ScaleB, grid.OffsetB, grid.Last, out float fb) * grid.StepB);
        int largest = fr >= Math.Max(fg, fb) ? NodeGrid.StepR : fg >= fb ? grid.StepG : grid.StepB;
        int smallest = fb <= Math.Min(fr, fg) ? grid.StepB : fg <= fr ? grid.StepG : NodeGrid.StepR;
        int diagonal = NodeGrid.StepR + grid.StepG + grid.StepB;
        float high = Math.Max(fr, Math.Max(fg, fb)), low = Math.Min(fr, Math.Min(fg, fb));
        float middle = Math.Max(Math.Min(fr, fg), Math.Min(Math.Max(fr, fg), fb));
        Vector128<float> sum = grid.Node(first) * (1 - high);
        sum = Vector128.FusedMultiplyAdd(grid.Node(first + largest), Vector128.Create(high - middle), sum);
        sum = Vector128.FusedMultiplyAdd(grid.Node(first + diagonal - smallest), Vector128.Create(middle - low), sum);
        return Vector128.FusedMultiplyAdd(grid.Node(first + diagonal), Vector128.Create(low), sum);
    }

    // Pixels j (lower half) and j + 4 (upper half): four corners each, one load per corner.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Pair(
        ref float node, ref float far, ref float scratch, int i,
        Vector256<float> w0, Vector256<float> w1, Vector256<float> w2, Vector256<float> w3)
    {
        nuint a = Corner(ref scratch, i), b = Corner(ref scratch, i + 4);
        Vector256<float> sum = Nodes(ref node, a, b) * w0, last = Nodes(ref far, a, b);
        sum = Vector256.FusedMultiplyAdd(Nodes(ref node, Corner(ref scratch, i + N), Corner(ref scratch, i + 4 + N)), w1, sum);
        sum = Vector256.FusedMultiplyAdd(Nodes(ref node, Corner(ref scratch, i + (2 * N)), Corner(ref scratch, i + 4 + (2 * N))), w2, sum);
        return Vector256.FusedMultiplyAdd(last, w3, sum);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static nuint Corner(ref float scratch, int at) => Unsafe.As<float, uint>(ref Unsafe.Add(ref scratch, at));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Nodes(ref float node, nuint lower, nuint upper) =>
        Vector256.Create(Vector128.LoadUnsafe(ref node, lower), Vector128.LoadUnsafe(ref node, upper));
}
