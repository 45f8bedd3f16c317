using System.Runtime.Intrinsics;

namespace Tonematch.Luts.Engine;

/// <summary>
/// One way to read a table, in two passes over a block of pixels and in one step for one pixel; all give the same
/// bits. Static, so that the loop over it compiles without calls.
/// </summary>
internal interface IInterpolator
{
    /// <summary>First pass: places and weights of eight pixels into the scratch.</summary>
    static abstract void Locate(in Axes axes, ref float scratch, Vector256<float> r, Vector256<float> g, Vector256<float> b);

    /// <summary>Second pass: the corners of eight pixels, weighted; results on the scale 0..1.</summary>
    static abstract void Blend(in Axes axes, ref float node, ref float scratch, out Vector256<float> r, out Vector256<float> g, out Vector256<float> b);

    /// <summary>One pixel without vectors of pixels: the specification of the two passes.</summary>
    static abstract Vector128<float> One(NodeGrid grid, float r, float g, float b);
}
