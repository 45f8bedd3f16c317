using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using System.Runtime.Intrinsics.X86;

namespace Tonematch.Luts.Engine;

/// <summary>A grid's constants, each repeated eight times for the loop.</summary>
internal readonly struct Axes(NodeGrid grid)
{
    public readonly Vector256<float> ScaleR = Vector256.Create(grid.ScaleR);
    public readonly Vector256<float> ScaleG = Vector256.Create(grid.ScaleG);
    public readonly Vector256<float> ScaleB = Vector256.Create(grid.ScaleB);
    public readonly Vector256<float> OffsetR = Vector256.Create(grid.OffsetR);
    public readonly Vector256<float> OffsetG = Vector256.Create(grid.OffsetG);
    public readonly Vector256<float> OffsetB = Vector256.Create(grid.OffsetB);
    public readonly Vector256<float> Last = Vector256.Create(grid.Last);
    public readonly Vector256<float> LastCell = Vector256.Create(grid.Last - 1);
    public readonly Vector256<float> StepR = Vector256.Create((float)NodeGrid.StepR);
    public readonly Vector256<float> StepG = Vector256.Create((float)grid.StepG);
    public readonly Vector256<float> StepB = Vector256.Create((float)grid.StepB);
    public readonly Vector256<int> IntStepR = Vector256.Create(NodeGrid.StepR);
    public readonly Vector256<int> IntStepG = Vector256.Create(grid.StepG);
    public readonly Vector256<int> IntStepB = Vector256.Create(grid.StepB);
    public readonly int Diagonal = NodeGrid.StepR + grid.StepG + grid.StepB;

    /// <summary>
    /// The cell 0..last-1 and the place in it 0..1 along one axis. NaN maps to 0; the last cell includes its end, so
    /// that no corner lies beyond the table.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector256<float> Cell(Vector256<float> code, Vector256<float> scale, Vector256<float> offset, out Vector256<float> fraction)
    {
        Vector256<float> place = Vector256.FusedMultiplyAdd(code, scale, offset);
        // On this processor the maximum returns the second operand if one is NaN; elsewhere two steps give the same
        // result.
        place = Avx.IsSupported
            ? Avx.Max(place, Vector256<float>.Zero)
            : Vector256.GreaterThan(place, Vector256<float>.Zero) & place;
        place = Vector256.MinNative(place, Last);
        Vector256<float> cell = Vector256.MinNative(Vector256.Floor(place), LastCell);
        fraction = place - cell;
        return cell;
    }

    /// <summary>The same for one code.</summary>
    public static int Cell(float code, float scale, float offset, float last, out float fraction)
    {
        float place = MathF.FusedMultiplyAdd(code, scale, offset);
        place = place > 0 ? place : 0;
        place = place < last ? place : last;
        float cell = MathF.Floor(place);
        cell = cell < last - 1 ? cell : last - 1;
        fraction = place - cell;
        return (int)cell;
    }

    /// <summary>
    /// The position of a cell's first corner: exact in float below 2^24, with one conversion instead of three.
    /// </summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public Vector256<int> Corner(Vector256<float> cellR, Vector256<float> cellG, Vector256<float> cellB) =>
        Vector256.ConvertToInt32Native(Vector256.FusedMultiplyAdd(
            cellB, StepB, Vector256.FusedMultiplyAdd(cellG, StepG, cellR * StepR)));
}
