using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>The colour of a place at a different moment from the one at which it was found.</summary>
/// <param name="Primary">Mean code values in the primary.</param>
/// <param name="Secondary">Mean code values in the secondary.</param>
/// <param name="Weight">The weight of the original sample, above 0.</param>
/// <param name="Place">The index of its place among those followed, from 0; -1 if it is not followed.</param>
public readonly record struct FollowedColour(CodeRgb Primary, CodeRgb Secondary, double Weight, int Place = -1);
