using Tonematch.Colour;

namespace Tonematch.Samples;

/// <summary>A colour of the secondary's picture without a sample nearby.</summary>
/// <param name="Name">Plain words (<see cref="PlainColourNames"/>).</param>
/// <param name="Swatch">A typical code value of it, in the secondary's encoding.</param>
/// <param name="Share">Its share (0..1) of the picture.</param>
public sealed record UncoveredColour(string Name, CodeRgb Swatch, double Share);
