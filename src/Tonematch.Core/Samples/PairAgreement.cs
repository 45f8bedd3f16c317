using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Numerics;
using Tonematch.Samples.Charts;

namespace Tonematch.Samples;

/// <summary>
/// Tests whether pairs are consistent: objects of similar colour must change in the same way between the cameras.
/// </summary>
/// <param name="IsOutlier">For each pair, whether it contradicts the pairs of similar colour.</param>
/// <param name="MedianDeltaE">
/// Median distance in CIELAB between a pair's change of colour and that of pairs of similar colour, from noise,
/// placement errors and unequal light. About 1 for good pairs of one scene; infinite with fewer than 8 pairs.
/// </param>
/// <param name="LightnessRankCorrelation">
/// Spearman's rank correlation of the lightness in both cameras: near 1 for one scene under one light.
/// </param>
public sealed record PairAgreement(ImmutableArray<bool> IsOutlier, double MedianDeltaE, double LightnessRankCorrelation)
{
    private const double LikeColour = 12;
    private const int FewestNeighbours = 6;
    private const int MostNeighbours = 40;
    private const double SmallestLimit = 4;
    private const double GlobalLimit = 0.15;
    private const int QuadraticTerms = 10;

    /// <summary>Judges pairs of one sample set.</summary>
    public static PairAgreement Of(IReadOnlyList<SamplePair> pairs, SignalEncoding primary, SignalEncoding secondary)
    {
        ArgumentNullException.ThrowIfNull(pairs);
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        int n = pairs.Count;
        if (n < 8)
        {
            return new PairAgreement([.. new bool[n]], double.PositiveInfinity, 0);
        }

        Lab[] p = [.. pairs.Select(x => primary.ToLab(x.Primary))], s = [.. pairs.Select(x => secondary.ToLab(x.Secondary))];
        double[] global = GlobalErrors(pairs);
        bool[] outlier = new bool[n];
        List<double> distances = [];
        for (int i = 0; i < n; i++)
        {
            int[] near = [.. Enumerable.Range(0, n)
                .Where(j => j != i && Distance(s[i], s[j]) < LikeColour)
                .OrderBy(j => Distance(s[i], s[j])).Take(MostNeighbours)];
            if (near.Length < FewestNeighbours)
            {
                outlier[i] = global[i] > GlobalLimit;
                continue;
            }

            Lab expected = MedianShift(near, p, s);
            double own = Distance(Shift(p[i], s[i]), expected);
            double around = Median.Of(near.Select(j => Distance(Shift(p[j], s[j]), expected)));
            outlier[i] = own > Math.Max(SmallestLimit, 3.5 * around);
            distances.Add(own);
        }

        double median = distances.Count >= 8 ? Median.Of(distances) : Median.Of(global) * 100;
        return new PairAgreement([.. outlier], median, Spearman([.. p.Select(c => c.L)], [.. s.Select(c => c.L)]));
    }

    // For isolated colours: the error of a robustly fitted quadratic map of all code values.
    private static double[] GlobalErrors(IReadOnlyList<SamplePair> pairs)
    {
        double[] terms = new double[pairs.Count * QuadraticTerms], targets = new double[pairs.Count * 3], weights = new double[pairs.Count];
        for (int i = 0; i < pairs.Count; i++)
        {
            CodeRgb c = pairs[i].Secondary, t = pairs[i].Primary;
            ReadOnlySpan<double> all = [1, c.R, c.G, c.B, c.R * c.R, c.G * c.G, c.B * c.B, c.R * c.G, c.G * c.B, c.B * c.R];
            all.CopyTo(terms.AsSpan(i * QuadraticTerms));
            (targets[3 * i], targets[(3 * i) + 1], targets[(3 * i) + 2]) = (t.R, t.G, t.B);
            weights[i] = 1;
        }

        return LinearColourFit.SolveRobustly(terms, QuadraticTerms, targets, weights, 0.01) is (double[] _, double[] errors)
            ? errors
            : new double[pairs.Count];
    }

    private static Lab Shift(Lab primary, Lab secondary) => new(primary.L - secondary.L, primary.A - secondary.A, primary.B - secondary.B);

    private static Lab MedianShift(int[] near, Lab[] p, Lab[] s) => new(
        Median.Of(near.Select(j => p[j].L - s[j].L)),
        Median.Of(near.Select(j => p[j].A - s[j].A)),
        Median.Of(near.Select(j => p[j].B - s[j].B)));

    private static double Distance(Lab a, Lab b) => Math.Sqrt(((a.L - b.L) * (a.L - b.L)) + ((a.A - b.A) * (a.A - b.A)) + ((a.B - b.B) * (a.B - b.B)));

    private static double Spearman(double[] a, double[] b)
    {
        double[] ra = Ranks(a), rb = Ranks(b);
        double mean = (a.Length - 1) / 2.0, ab = 0, aa = 0, bb = 0;
        for (int i = 0; i < a.Length; i++)
        {
            ab += (ra[i] - mean) * (rb[i] - mean);
            aa += (ra[i] - mean) * (ra[i] - mean);
            bb += (rb[i] - mean) * (rb[i] - mean);
        }

        return aa > 0 && bb > 0 ? ab / Math.Sqrt(aa * bb) : 0;
    }

    private static double[] Ranks(double[] values)
    {
        int[] order = [.. Enumerable.Range(0, values.Length).OrderBy(i => values[i])];
        double[] ranks = new double[values.Length];
        for (int from = 0; from < order.Length;)
        {
            int to = from;
            while (to + 1 < order.Length && values[order[to + 1]] == values[order[from]])
            {
                to++;
            }

            for (int k = from; k <= to; k++)
            {
                ranks[order[k]] = (from + to) / 2.0;
            }

            from = to + 1;
        }

        return ranks;
    }
}
