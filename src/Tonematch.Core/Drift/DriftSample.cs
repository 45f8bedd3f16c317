using Tonematch.Colour;

namespace Tonematch.Drift;

/// <summary>One thing's colour in both pictures at one instant.</summary>
/// <param name="Place">The same number for the same thing at other instants.</param>
/// <param name="Primary">Code values of the primary.</param>
/// <param name="Secondary">Code values of the secondary, before any correction.</param>
public readonly record struct DriftSample(int Place, CodeRgb Primary, CodeRgb Secondary);
