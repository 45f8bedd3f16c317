using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>A place's colour at another moment than the one it was found at.</summary>
/// <param name="Primary">Mean code values in the primary.</param>
/// <param name="Secondary">Mean code values in the secondary.</param>
/// <param name="Weight">The weight of the sample it was found as, above 0.</param>
/// <param name="Place">The number of its place among those that are followed, from 0; -1 when it is not followed.</param>
public readonly record struct FollowedColour(CodeRgb Primary, CodeRgb Secondary, double Weight, int Place = -1);
