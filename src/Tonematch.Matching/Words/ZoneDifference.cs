namespace Tonematch.Matching.Words;

/// <summary>Differences within one part of the picture: a tone zone, neutrals, skin.</summary>
/// <param name="Name">'shadows', 'middle', 'highlights', 'neutrals' or 'skin'.</param>
/// <param name="Count">How many pairs lie there.</param>
/// <param name="Before">Mean CIEDE2000 with nothing done.</param>
/// <param name="After">Mean CIEDE2000 with the advised correction.</param>
public sealed record ZoneDifference(string Name, int Count, double Before, double After);
