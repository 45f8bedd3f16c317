using Tonematch.Luts.Tables;

namespace Tonematch.Media.Rendering;

/// <summary>A correction that holds in a part of a clip.</summary>
/// <param name="FromSeconds">Where it begins, in the clip's own time.</param>
/// <param name="Lut">Code values of the clip to corrected code values.</param>
public sealed record TimedLut(double FromSeconds, Lut3D Lut);
