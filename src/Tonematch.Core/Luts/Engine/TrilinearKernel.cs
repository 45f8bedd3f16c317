using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using Tonematch.Luts.Tables;

namespace Tonematch.Luts.Engine;

/// <summary>Trilinear interpolation: eight corners a pixel. See <see cref="LutInterpolation.Trilinear"/>.</summary>
internal readonly struct TrilinearKernel : IInterpolator
{
    // The scratch of eight pixels: four vectors.
    private const int N = 8;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Locate(in Axes axes, ref float scratch, Vector256<float> r, Vector256<float> g, Vector256<float> b)
    {
        Vector256<float> cellR = axes.Cell(r, axes.ScaleR, axes.OffsetR, out Vector256<float> fr);
        Vector256<float> cellG = axes.Cell(g, axes.ScaleG, axes.OffsetG, out Vector256<float> fg);
        Vector256<float> cellB = axes.Cell(b, axes.ScaleB, axes.OffsetB, out Vector256<float> fb);
        axes.Corner(cellR, cellG, cellB).AsSingle().StoreUnsafe(ref scratch);
        fr.StoreUnsafe(ref scratch, N);
        fg.StoreUnsafe(ref scratch, 2 * N);
        fb.StoreUnsafe(ref scratch, 3 * N);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static void Blend(
        in Axes axes, ref float node, ref float scratch, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b)
    {
        Vector256<float> fr = Vector256.LoadUnsafe(ref scratch, N);
        Vector256<float> fg = Vector256.LoadUnsafe(ref scratch, 2 * N), fb = Vector256.LoadUnsafe(ref scratch, 3 * N);
        // Where the four edges along red begin, as four tables: no addition a corner.
        ref float n00 = ref node, n10 = ref Unsafe.Add(ref node, axes.OneG);
        ref float n01 = ref Unsafe.Add(ref node, axes.OneB), n11 = ref Unsafe.Add(ref n01, axes.OneG);
        Vector256<float> p04 = Pair(ref n00, ref n10, ref n01, ref n11, ref scratch, 0,
            Vector256.Shuffle(fr, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)),
            Vector256.Shuffle(fg, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)), Vector256.Shuffle(fb, Vector256.Create(0, 0, 0, 0, 4, 4, 4, 4)));
        Vector256<float> p15 = Pair(ref n00, ref n10, ref n01, ref n11, ref scratch, 1,
            Vector256.Shuffle(fr, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)),
            Vector256.Shuffle(fg, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)), Vector256.Shuffle(fb, Vector256.Create(1, 1, 1, 1, 5, 5, 5, 5)));
        Vector256<float> p26 = Pair(ref n00, ref n10, ref n01, ref n11, ref scratch, 2,
            Vector256.Shuffle(fr, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)),
            Vector256.Shuffle(fg, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)), Vector256.Shuffle(fb, Vector256.Create(2, 2, 2, 2, 6, 6, 6, 6)));
        Vector256<float> p37 = Pair(ref n00, ref n10, ref n01, ref n11, ref scratch, 3,
            Vector256.Shuffle(fr, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)),
            Vector256.Shuffle(fg, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)), Vector256.Shuffle(fb, Vector256.Create(3, 3, 3, 3, 7, 7, 7, 7)));
        Transposed.Channels(p04, p15, p26, p37, out r, out g, out b);
    }

    public static Vector128<float> One(NodeGrid grid, float r, float g, float b)
    {
        int at = (Axes.Cell(r, grid.ScaleR, grid.OffsetR, grid.Last, out float fr) * NodeGrid.StepR)
            + (Axes.Cell(g, grid.ScaleG, grid.OffsetG, grid.Last, out float fg) * grid.StepG)
            + (Axes.Cell(b, grid.ScaleB, grid.OffsetB, grid.Last, out float fb) * grid.StepB);
        Vector128<float> near = Mix(Edge(at), Edge(at + grid.StepG), fg);
        Vector128<float> far = Mix(Edge(at + grid.StepB), Edge(at + grid.StepB + grid.StepG), fg);
        return Mix(near, far, fb);

        Vector128<float> Edge(int from) => Mix(grid.Node(from), grid.Node(from + NodeGrid.StepR), fr);
    }

    // Pixels j (lower half) and j + 4 (upper half): seven mixes of two along red, green and blue.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Pair(
        ref float n00, ref float n10, ref float n01, ref float n11, ref float scratch, int i,
        Vector256<float> fr, Vector256<float> fg, Vector256<float> fb)
    {
        nuint a = Unsafe.As<float, uint>(ref Unsafe.Add(ref scratch, i)), b = Unsafe.As<float, uint>(ref Unsafe.Add(ref scratch, i + 4));
        return Mix(
            Mix(Edge(ref n00, a, b, fr), Edge(ref n10, a, b, fr), fg),
            Mix(Edge(ref n01, a, b, fr), Edge(ref n11, a, b, fr), fg), fb);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Edge(ref float node, nuint a, nuint b, Vector256<float> fr) =>
        Mix(Nodes(ref node, a, b), Nodes(ref Unsafe.Add(ref node, NodeGrid.StepR), a, b), fr);

    // a + t (b - a)
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Mix(Vector256<float> a, Vector256<float> b, Vector256<float> t) =>
        Vector256.FusedMultiplyAdd(b - a, t, a);

    private static Vector128<float> Mix(Vector128<float> a, Vector128<float> b, float t) =>
        Vector128.FusedMultiplyAdd(b - a, Vector128.Create(t), a);

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Vector256<float> Nodes(ref float node, nuint lower, nuint upper) =>
        Vector256.Create(Vector128.LoadUnsafe(ref node, lower), Vector128.LoadUnsafe(ref node, upper));
}
