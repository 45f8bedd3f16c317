using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Drift;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>What a check over time found, before it is put into words.</summary>
/// <param name="Method">Where corresponding colours came from.</param>
/// <param name="Result">The figures.</param>
/// <param name="LookedAt">The number of instants examined.</param>
/// <param name="EveryFrame">Whether these are all frames of the primary.</param>
/// <param name="Warnings">What the user should know, in sentences.</param>
internal sealed record CheckFindings(SamplingMethod Method, CheckResult Result, int LookedAt, bool EveryFrame, ImmutableArray<string> Warnings)
{
    /// <summary>
    /// The colours followed from instant to instant, the secondary as recorded; empty unless requested.
    /// </summary>
    public ImmutableArray<DriftInstant> Followed { get; init; } = [];
}
