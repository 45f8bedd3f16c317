using Tonematch.Colour;

namespace Tonematch.Checking;

/// <summary>The colour of one object in both pictures at one instant, both in the primary's encoding.</summary>
/// <param name="Primary">Code values of the primary.</param>
/// <param name="Corrected">Code values of the secondary after its correction (or as recorded, without one).</param>
/// <param name="Weight">Relative weight, above 0.</param>
public readonly record struct CheckedColour(CodeRgb Primary, CodeRgb Corrected, double Weight = 1);
