namespace Tonematch.Matching.Outcome;

/// <summary>How well a correction holds on a place that was left out of its fit.</summary>
/// <param name="Place">Its name for people: 'the floor', 'the lower left'.</param>
/// <param name="Before">Mean CIEDE2000 there without a correction.</param>
/// <param name="After">Mean CIEDE2000 there with the correction fitted to all other places.</param>
public sealed record PlaceFigures(string Place, double Before, double After);
