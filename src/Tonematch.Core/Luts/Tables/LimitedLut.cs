namespace Tonematch.Luts.Tables;

/// <summary>A table whose nodes were clamped to 0..1.</summary>
/// <param name="Lut">The clamped table.</param>
/// <param name="LimitedNodes">The number of nodes with a value outside.</param>
/// <param name="LargestExcess">The largest distance of a value from 0..1, in code values.</param>
public sealed record LimitedLut(Lut3D Lut, int LimitedNodes, double LargestExcess);
