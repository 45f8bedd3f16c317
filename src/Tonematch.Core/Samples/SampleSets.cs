using System.Collections.Immutable;

namespace Tonematch.Samples;

/// <summary>Joins sets of samples from several instants.</summary>
public static class SampleSets
{
    /// <summary>
    /// Joins all pairs, adds up rejects, keeps each warning once and averages the noise floors. Refused only if every
    /// set is refused, with the first reason.
    /// </summary>
    /// <param name="sets">At least one, of the same encodings and method.</param>
    /// <exception cref="ArgumentException">None, or encodings or methods differ.</exception>
    public static SampleSet Join(IReadOnlyList<SampleSet> sets)
    {
        ArgumentNullException.ThrowIfNull(sets);
        if (sets.Count == 0 || sets.Any(s => (s.PrimaryEncoding, s.SecondaryEncoding, s.Method) != (sets[0].PrimaryEncoding, sets[0].SecondaryEncoding, sets[0].Method)))
        {
            throw new ArgumentException("At least one set is needed, all of the same encodings and method.", nameof(sets));
        }

        SampleSet[] good = [.. sets.Where(s => s.Refusal is null)];
        double[] floors = [.. good.Select(s => s.NoiseFloorDeltaE).OfType<double>()];
        return sets[0] with
        {
            Pairs = [.. good.SelectMany(s => s.Pairs)],
            Rejected = sets.SelectMany(s => s.Rejected).GroupBy(r => r.Key, StringComparer.Ordinal)
                .ToImmutableSortedDictionary(g => g.Key, g => g.Sum(r => r.Value)),
            ShowsOtherLight = good.Any(s => s.ShowsOtherLight),
            NoiseFloorDeltaE = floors.Length > 0 ? floors.Average() : null,
            Warnings = [.. good.SelectMany(s => s.Warnings).Distinct(StringComparer.Ordinal)],
            Refusal = good.Length > 0 ? null : sets[0].Refusal,
        };
    }
}
