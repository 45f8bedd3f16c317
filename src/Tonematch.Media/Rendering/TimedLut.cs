using Tonematch.Luts.Tables;

namespace Tonematch.Media.Rendering;

/// <summary>A correction for a part of a clip.</summary>
/// <param name="FromSeconds">Its start, in the clip's own time.</param>
/// <param name="Lut">Maps the clip's code values to corrected ones.</param>
public sealed record TimedLut(double FromSeconds, Lut3D Lut);
