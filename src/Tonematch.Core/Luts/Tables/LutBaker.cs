using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Luts.Tables;

/// <summary>Makes tables from corrections.</summary>
public static class LutBaker
{
    /// <summary>Nodes a side when nothing is said.</summary>
    public const int DefaultSize = 33;

    /// <summary>
    /// The correction's value at every node: secondary code values 0..1 in, primary-like code values out. Not limited
    /// to 0..1: a straight line through white keeps its slope up to the point where the player itself limits, which
    /// a node set to 1 would bend. See <see cref="LimitToUnitRange"/> for players that need it.
    /// </summary>
    /// <param name="correction">What to bake.</param>
    /// <param name="size">Nodes a side, 2..129; 17, 33 and 65 are usual.</param>
    public static Lut3D Bake(Correction correction, int size = DefaultSize)
    {
        ArgumentNullException.ThrowIfNull(correction);
        return Lut3D.FromFunction(size, correction.Apply);
    }

    /// <summary>
    /// The same table with every node limited to 0..1, and how much that changed: for players that refuse or wrap
    /// values outside. Costs accuracy in the cells where the limit is crossed.
    /// </summary>
    public static LimitedLut LimitToUnitRange(Lut3D lut)
    {
        ArgumentNullException.ThrowIfNull(lut);
        float[] nodes = lut.Nodes.ToArray();
        int limited = 0;
        double excess = 0;
        for (int n = 0; n < nodes.Length; n += 3)
        {
            bool changed = false;
            for (int c = n; c < n + 3; c++)
            {
                float inside = Math.Clamp(nodes[c], 0, 1);
                changed |= inside != nodes[c];
                excess = Math.Max(excess, Math.Abs((double)nodes[c] - inside));
                nodes[c] = inside;
            }

            limited += changed ? 1 : 0;
        }

        return new LimitedLut(new Lut3D(lut.Size, nodes, lut.DomainMin, lut.DomainMax), limited, excess);
    }

    /// <summary>
    /// What the table loses against the exact correction, over 0..1 at cell centres, quarter points, faces and greys,
    /// seen through the primary's encoding.
    /// </summary>
    public static LutDifference BakingError(Correction correction, Lut3D lut, LutMethod method = LutMethod.Tetrahedral)
    {
        ArgumentNullException.ThrowIfNull(correction);
        ArgumentNullException.ThrowIfNull(lut);
        return LutComparison.Compare(
            AimedColours.Over(lut.Size, CodeRgb.Grey(0), CodeRgb.Grey(1)),
            correction.Apply,
            x => LutInterpolation.Apply(lut, x, method),
            correction.PrimaryEncoding);
    }
}
