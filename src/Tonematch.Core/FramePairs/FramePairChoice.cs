using System.Collections.Immutable;

namespace Tonematch.FramePairs;

/// <summary>The chosen frame pairs, and why others were rejected.</summary>
/// <param name="Pairs">In time order; empty when the clips share no frame.</param>
/// <param name="LightStates">The number of lighting states in the shared time.</param>
/// <param name="Rejected">Primary frames that were left out, by reason: 'outside the overlap', 'no frame near',
/// 'clipped', 'dark', 'blurred', 'moving', 'not needed'.</param>
public sealed record FramePairChoice(
    ImmutableArray<FramePair> Pairs, int LightStates, ImmutableSortedDictionary<string, int> Rejected)
{
    /// <summary>What the user should know, in sentences.</summary>
    public ImmutableArray<string> Warnings { get; init; } = [];
}
