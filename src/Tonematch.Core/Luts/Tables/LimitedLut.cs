namespace Tonematch.Luts.Tables;

/// <summary>A table whose nodes were limited to 0..1.</summary>
/// <param name="Lut">The limited table.</param>
/// <param name="LimitedNodes">How many nodes had a value outside.</param>
/// <param name="LargestExcess">How far the farthest value lay outside, in code values.</param>
public sealed record LimitedLut(Lut3D Lut, int LimitedNodes, double LargestExcess);
