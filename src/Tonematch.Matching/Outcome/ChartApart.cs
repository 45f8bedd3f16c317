namespace Tonematch.Matching.Outcome;

/// <summary>
/// A chart that the two clips show at different instants, or that only one of them shows; never both null.
/// </summary>
/// <param name="InPrimary">Both frames of an instant at which the primary shows it; null if it never does.</param>
/// <param name="InSecondary">Both frames of an instant at which the secondary shows it; null if it never does.</param>
public sealed record ChartApart(MatchedFrames? InPrimary, MatchedFrames? InSecondary);
