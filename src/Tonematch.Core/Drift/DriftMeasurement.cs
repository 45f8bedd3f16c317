using System.Collections.Immutable;

namespace Tonematch.Drift;

/// <summary>What was found out about a camera's course over a clip.</summary>
/// <param name="Track">The course, or null when it holds still as far as can be told.</param>
/// <param name="Measured">Every instant by itself, with its standard errors.</param>
/// <param name="HeldOutShare">
/// How much of the variance over time, as half of the things show it, the course found from the other half explains: 0..1 (0
/// when it explains nothing); the larger of exposure and white balance.
/// </param>
/// <param name="Reason">One sentence: why there is a course, or why there is none.</param>
public sealed record DriftMeasurement(DriftTrack? Track, ImmutableArray<DriftPoint> Measured, double HeldOutShare, string Reason);
