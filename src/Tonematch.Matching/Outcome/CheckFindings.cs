using System.Collections.Immutable;
using Tonematch.Checking;
using Tonematch.Drift;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>What a check found over time, before it is told to anybody.</summary>
/// <param name="Method">Where corresponding colours came from.</param>
/// <param name="Result">The figures.</param>
/// <param name="LookedAt">How many instants were looked at.</param>
/// <param name="EveryFrame">They are every frame of the primary.</param>
/// <param name="Warnings">What the user should know, in sentences.</param>
internal sealed record CheckFindings(SamplingMethod Method, CheckResult Result, int LookedAt, bool EveryFrame, ImmutableArray<string> Warnings)
{
    /// <summary>What was followed from instant to instant, the secondary as recorded; empty when that was not asked for.</summary>
    public ImmutableArray<DriftInstant> Followed { get; init; } = [];
}
