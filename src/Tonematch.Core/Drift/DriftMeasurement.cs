using System.Collections.Immutable;

namespace Tonematch.Drift;

/// <summary>The measured drift of a camera over a clip.</summary>
/// <param name="Track">The drift, or null if the camera is steady as far as can be measured.</param>
/// <param name="Measured">Every instant separately, with its standard errors.</param>
/// <param name="HeldOutShare">
/// Share of the variance over time in one half of the objects that the drift measured on the other half explains, 0..1;
/// the larger of exposure and white balance.
/// </param>
/// <param name="Reason">One sentence: why there is a drift, or why there is none.</param>
public sealed record DriftMeasurement(DriftTrack? Track, ImmutableArray<DriftPoint> Measured, double HeldOutShare, string Reason);
