using System.Collections.Immutable;
using Tonematch.Samples;

namespace Tonematch.Matching.Requests;

/// <summary>What a person changed in the samples that were found: pairs taken out, regions added, both weighed.</summary>
public sealed record SampleEdits
{
    /// <summary>A marked region of weight 1 counts in the fit like one of so many equal parts of everything found: one patch of a usual chart.</summary>
    public const int PartsOfAll = 24;

    /// <summary>The smallest and the largest weight that may be given.</summary>
    public const double LeastWeight = 0.1, GreatestWeight = 20;

    /// <summary>Nothing changed.</summary>
    public static SampleEdits None { get; } = new();

    /// <summary>Ids of pairs that are left out.</summary>
    public ImmutableSortedSet<string> LeftOut { get; init; } = ImmutableSortedSet.Create<string>(StringComparer.Ordinal);

    /// <summary>Regions added to what was found, measured at their own instant.</summary>
    public ImmutableArray<RegionPair> Marked { get; init; } = [];

    /// <summary>Factors by group (a patch, a marked region), from <see cref="LeastWeight"/> to <see cref="GreatestWeight"/>.</summary>
    public ImmutableSortedDictionary<string, double> Weights { get; init; } = ImmutableSortedDictionary.Create<string, double>(StringComparer.Ordinal);

    /// <summary>Nothing is changed.</summary>
    public bool IsNone => LeftOut.IsEmpty && Marked.IsEmpty && Weights.IsEmpty;
}
