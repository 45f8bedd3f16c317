using Tonematch.Colour;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats.Clf;

/// <summary>A 3D table over 0..1.</summary>
/// <param name="Lut">The table, normalised, red fastest as everywhere in this library (files have blue fastest).</param>
/// <param name="Method">The interpolation method.</param>
public sealed record ClfLut3D(Lut3D Lut, LutMethod Method = LutMethod.Tetrahedral) : ClfNode
{
    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code) => LutInterpolation.Apply(Lut, code, Method);
}
