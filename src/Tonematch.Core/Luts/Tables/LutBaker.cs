using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Luts.Tables;

/// <summary>Makes tables from corrections.</summary>
public static class LutBaker
{
    /// <summary>The default number of nodes per side.</summary>
    public const int DefaultSize = 33;

    /// <summary>
    /// The correction's value at every node: secondary code values 0..1 in, primary-like code values out. Not clamped
    /// to 0..1, so that a straight line through white keeps its slope up to the point where the player clamps; a node
    /// set to 1 would bend it. See <see cref="LimitToUnitRange"/> for players that need it.
    /// </summary>
    /// <param name="correction">The correction to bake.</param>
    /// <param name="size">Nodes per side, 2..129; 17, 33 and 65 are usual.</param>
    public static Lut3D Bake(Correction correction, int size = DefaultSize)
    {
        ArgumentNullException.ThrowIfNull(correction);
        return Lut3D.FromFunction(size, correction.Apply);
    }

    /// <summary>
    /// The same table with every node clamped to 0..1, and the size of that change; for players that refuse or wrap
    /// values outside. Reduces accuracy in the cells where the limit is crossed.
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
    /// The table's error relative to the exact correction, over 0..1 at cell centres, quarter points, faces and greys,
    /// as displayed in the primary's encoding.
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
