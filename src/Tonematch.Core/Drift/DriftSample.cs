using Tonematch.Colour;

namespace Tonematch.Drift;

/// <summary>The colour of one object in both pictures at one instant.</summary>
/// <param name="Place">The number of the object, the same at all instants.</param>
/// <param name="Primary">Code values of the primary.</param>
/// <param name="Secondary">Code values of the secondary, before any correction.</param>
public readonly record struct DriftSample(int Place, CodeRgb Primary, CodeRgb Secondary);
