using System.Collections.Immutable;
using Tonematch.Samples;

namespace Tonematch.Matching.Requests;

/// <summary>Changes a person made to the samples found: pairs removed, regions added, weights set.</summary>
public sealed record SampleEdits
{
    /// <summary>
    /// In the fit, a marked region of weight 1 counts as one such part of everything found: like one patch of a
    /// 24-patch chart.
    /// </summary>
    public const int PartsOfAll = 24;

    /// <summary>The smallest and the largest weight that may be given.</summary>
    public const double LeastWeight = 0.1, GreatestWeight = 20;

    /// <summary>Nothing changed.</summary>
    public static SampleEdits None { get; } = new();

    /// <summary>Ids of the pairs left out.</summary>
    public ImmutableSortedSet<string> LeftOut { get; init; } = ImmutableSortedSet.Create<string>(StringComparer.Ordinal);

    /// <summary>Regions added to the samples found, each measured at its own instant.</summary>
    public ImmutableArray<RegionPair> Marked { get; init; } = [];

    /// <summary>Factors by group (a patch, a marked region), from <see cref="LeastWeight"/> to <see cref="GreatestWeight"/>.</summary>
    public ImmutableSortedDictionary<string, double> Weights { get; init; } = ImmutableSortedDictionary.Create<string, double>(StringComparer.Ordinal);

    /// <summary>Whether nothing is changed.</summary>
    public bool IsNone => LeftOut.IsEmpty && Marked.IsEmpty && Weights.IsEmpty;
}
