using Tonematch.Drift;

namespace Tonematch.Matching.Outcome;

/// <summary>A secondary whose exposure or white balance wanders, and what following it gains.</summary>
/// <param name="Track">The course, on the secondary's own time line.</param>
/// <param name="ConstantMean">Mean CIEDE2000 over the whole overlap with one constant correction.</param>
/// <param name="FollowingMean">The same when the course is taken out first.</param>
/// <param name="HeldOutShare">How much of the course, found from half of the things, the other half shows: 0..1.</param>
public sealed record DriftOutcome(DriftTrack Track, double ConstantMean, double FollowingMean, double HeldOutShare);
