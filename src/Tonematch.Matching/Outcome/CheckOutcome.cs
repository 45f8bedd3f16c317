using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Media.Clips;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Outcome;

/// <summary>A check of two clips over time, with its inputs.</summary>
/// <param name="Primary">The primary clip.</param>
/// <param name="Secondary">The secondary clip.</param>
/// <param name="Sync">How the clips are aligned in time; null for still pictures.</param>
/// <param name="Method">Where corresponding colours came from.</param>
/// <param name="Result">The figures.</param>
/// <param name="LookedAt">The number of instants examined; those without common colours are not in the figures.</param>
/// <param name="Warnings">What the user should know, in sentences.</param>
public sealed record CheckOutcome(
    ClipInfo Primary,
    ClipInfo Secondary,
    SyncFound? Sync,
    SamplingMethod Method,
    CheckResult Result,
    int LookedAt,
    ImmutableArray<string> Warnings)
{
    /// <summary>Whether every frame of the primary was examined, not only some instants.</summary>
    public bool EveryFrame { get; init; }

    /// <summary>
    /// The secondary's drift of exposure and white balance; null if it is steady, or without a correction.
    /// </summary>
    public DriftOutcome? Drift { get; init; }
}
