using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Luts.Tables;

namespace Tonematch.Luts.Engine;

/// <summary>
/// A table laid out for the engine: each node four floats (r, g, b, 0) on a 16-byte boundary, so that a corner is one
/// load and never crosses a cache line; and the constants that convert a code to a place in the table.
/// </summary>
internal sealed class NodeGrid
{
    /// <summary>Floats per node, and so the step along red.</summary>
    public const int StepR = 4;

    private const int CacheLine = 64;

    private readonly float[] _memory;
    private readonly int _start;

    /// <summary>Lays a table out.</summary>
    public NodeGrid(Lut3D lut)
    {
        (_memory, _start) = Layout(lut);
        Last = lut.Size - 1;
        (ScaleR, OffsetR) = Line(lut.DomainMin.R, lut.DomainMax.R, Last);
        (ScaleG, OffsetG) = Line(lut.DomainMin.G, lut.DomainMax.G, Last);
        (ScaleB, OffsetB) = Line(lut.DomainMin.B, lut.DomainMax.B, Last);
        // Steps to the next node along each axis, in floats: exact as floats, because 4 * 129^3 is below 2^24.
        (StepG, StepB) = (StepR * lut.Size, StepR * lut.Size * lut.Size);
    }

    public float Last { get; }

    public float ScaleR { get; }

    public float ScaleG { get; }

    public float ScaleB { get; }

    public float OffsetR { get; }

    public float OffsetG { get; }

    public float OffsetB { get; }

    public int StepG { get; }

    public int StepB { get; }

    /// <summary>The first node's red.</summary>
    public ref float First => ref Unsafe.Add(ref MemoryMarshal.GetArrayDataReference(_memory), _start);

    /// <summary>The node whose first float is at <paramref name="place"/>.</summary>
    public Vector128<float> Node(int place) => Vector128.LoadUnsafe(ref First, (nuint)place);

    // Aligned to a cache line, and pinned so that the memory does not move.
    private static (float[] Memory, int Start) Layout(Lut3D lut)
    {
        int count = lut.Size * lut.Size * lut.Size;
        float[] memory = GC.AllocateArray<float>((4 * count) + (CacheLine / sizeof(float)), pinned: true);
        long address = Marshal.UnsafeAddrOfPinnedArrayElement(memory, 0);
        int start = (int)((CacheLine - (address % CacheLine)) % CacheLine / sizeof(float));
        ReadOnlySpan<float> nodes = lut.Nodes;
        for (int i = 0; i < count; i++)
        {
            nodes.Slice(3 * i, 3).CopyTo(memory.AsSpan(start + (4 * i)));
        }

        return (memory, start);
    }

    private static (float Scale, float Offset) Line(double min, double max, double last)
    {
        double scale = last / (max - min);
        return ((float)scale, (float)(-min * scale));
    }
}
