using Tonematch.Colour.DeltaE;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>
/// How far several cameras are from one another, as recorded and corrected: what shows when their angles are cut
/// together.
/// </summary>
public static class PairTable
{
    /// <summary>Two cameras: mean CIEDE2000 over the objects sampled in both.</summary>
    /// <param name="First">Name of the first.</param>
    /// <param name="Second">Name of the second.</param>
    /// <param name="Common">Number of objects that both have.</param>
    /// <param name="Before">As recorded.</param>
    /// <param name="After">Corrected (the primary as it is).</param>
    public sealed record Row(string First, string Second, int Common, double Before, double After);

    /// <summary>
    /// Every pair of cameras. The primary and a secondary are compared on that match's samples; two secondaries on the
    /// samples of the same group (a chart's patch, a marked region), which overlap matches do not share.
    /// </summary>
    /// <param name="outcomes">One per secondary, all with the same primary.</param>
    public static IReadOnlyList<Row> Of(IReadOnlyList<MatchOutcome> outcomes)
    {
        ArgumentNullException.ThrowIfNull(outcomes);
        List<Row> rows = [];
        for (int i = 0; i < outcomes.Count; i++)
        {
            MatchOutcome a = outcomes[i];
            rows.Add(new Row(NameOf(a.Clips?.Primary.Path), NameOf(a.Clips?.Secondary.Path), a.Samples.Pairs.Length, a.Fit.Before.Mean, a.Chosen.After.Mean));
            for (int j = i + 1; j < outcomes.Count; j++)
            {
                MatchOutcome b = outcomes[j];
                Dictionary<string, SamplePair> ofB = Shared(b.Samples).GroupBy(p => p.Group, StringComparer.Ordinal).ToDictionary(g => g.Key, g => g.First(), StringComparer.Ordinal);
                (SamplePair A, SamplePair B)[] common = a.Samples.Method == b.Samples.Method && a.Samples.Method is SamplingMethod.Chart or SamplingMethod.Regions
                    ? [.. Shared(a.Samples).GroupBy(p => p.Group, StringComparer.Ordinal).Where(g => ofB.ContainsKey(g.Key)).Select(g => (g.First(), ofB[g.Key]))]
                    : [];
                if (common.Length > 0)
                {
                    rows.Add(new Row(
                        NameOf(a.Clips?.Secondary.Path), NameOf(b.Clips?.Secondary.Path), common.Length,
                        common.Average(c => DeltaE2000.Between(
                            a.Samples.SecondaryEncoding.ToLab(c.A.Secondary.Clamped()), b.Samples.SecondaryEncoding.ToLab(c.B.Secondary.Clamped()))),
                        common.Average(c => DeltaE2000.Between(
                            a.Samples.PrimaryEncoding.ToLab(a.Chosen.Corrected(c.A)), b.Samples.PrimaryEncoding.ToLab(b.Chosen.Corrected(c.B))))));
                }
            }
        }

        return rows;
    }

    // The surroundings of a chart were not compared at the same places in every match.
    private static IEnumerable<SamplePair> Shared(SampleSet samples) => samples.Method == SamplingMethod.Chart
        ? samples.Pairs.Where(p => SampleLocality.IsChart(p.Locality))
        : samples.Pairs;

    private static string NameOf(string? path) => Path.GetFileName(path) ?? "pairs";
}
