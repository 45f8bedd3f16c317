namespace Tonematch.Matching.Words;

/// <summary>Differences within one part of the picture: a tone zone, neutrals, skin.</summary>
/// <param name="Name">'shadows', 'middle', 'highlights', 'neutrals' or 'skin'.</param>
/// <param name="Count">The number of pairs there.</param>
/// <param name="Before">Mean CIEDE2000 without a correction.</param>
/// <param name="After">Mean CIEDE2000 with the advised correction.</param>
public sealed record ZoneDifference(string Name, int Count, double Before, double After);
