using Tonematch.Numerics;

namespace Tonematch.Checking;

/// <summary>
/// The lightness error that a correction leaves, split by when and where it was seen: a two-way analysis of variance
/// without interaction. A colour correction leaves the same error for the same colour wherever and whenever it is seen.
/// An error that depends on the instant is exposure drift; one that depends on the place is local processing of the
/// picture.
/// </summary>
/// <param name="Deviation">Standard deviation of the whole error, L*.</param>
/// <param name="ByInstant">The part that depends on the instant; null with fewer than three instants.</param>
/// <param name="ByArea">The part that depends on the area of the picture; null with fewer than four areas.</param>
/// <remarks>
/// H. Scheffé, 'The Analysis of Variance', 1959, ch. 4: a factor's sum of squares is the improvement from adding it to
/// a fit of the other factor, so that instants showing other parts of the picture are not mistaken for it; the amount
/// that as many groups would explain by chance is subtracted.
/// </remarks>
public sealed record LeftInLightness(double Deviation, LeftPart? ByInstant, LeftPart? ByArea)
{
    // Fewer instants or areas cannot distinguish an effect from chance.
    private const int FewestInstants = 3;
    private const int FewestAreas = 4;

    // Groups with fewer values are left out.
    private const int FewestOfGroup = 6;

    // Values further from the median of their instant and area than this many robust standard deviations, and 1 L*, are
    // clipped: they are mismatched pairs.
    private const double Farthest = 4;

    private const int Rounds = 40;

    /// <summary>Analyses the error.</summary>
    /// <param name="left">L* of the primary minus that of the corrected secondary, each with its instant and its area.</param>
    public static LeftInLightness Of(IReadOnlyList<LeftAt> left)
    {
        ArgumentNullException.ThrowIfNull(left);
        LeftAt[] known = [.. left.Where(l => double.IsFinite(l.Lightness))];
        if (known.Length == 0)
        {
            return new LeftInLightness(0, null, null);
        }

        known = WithoutMismatches(known);
        int instants = Large(known, l => l.Instant).Count, areas = Large(known, l => l.Area).Count;
        if (instants >= FewestInstants)
        {
            HashSet<int> large = Large(known, l => l.Instant);
            known = [.. known.Where(l => large.Contains(l.Instant))];
        }

        if (areas >= FewestAreas)
        {
            HashSet<int> large = Large(known, l => l.Area);
            known = [.. known.Where(l => large.Contains(l.Area))];
        }

        // A factor with too few groups counts as one group.
        int[] instant = Numbered(known, l => instants >= FewestInstants ? l.Instant : 0), area = Numbered(known, l => areas >= FewestAreas ? l.Area : 0);
        double[] values = [.. known.Select(l => l.Lightness)];
        double total = SumOfSquares(values, null, null), both = SumOfSquares(values, instant, area);
        int free = values.Length - instant.Distinct().Count() - area.Distinct().Count() + 1;
        double chance = free > 0 ? both / free : 0;
        LeftPart? Part(int[] factor, double withoutIt, int fewest)
        {
            int groups = factor.Distinct().Count();
            if (groups < fewest || free <= 0)
            {
                return null;
            }

            double explained = Math.Max(0, withoutIt - both - ((groups - 1) * chance));
            return new LeftPart(total > 0 ? Math.Min(1, explained / total) : 0, Math.Sqrt(explained / values.Length), groups);
        }

        return new LeftInLightness(
            Math.Sqrt(total / values.Length),
            Part(instant, SumOfSquares(values, null, area), FewestInstants),
            Part(area, SumOfSquares(values, instant, null), FewestAreas));
    }

    private static LeftAt[] WithoutMismatches(LeftAt[] left)
    {
        Dictionary<int, double> ofInstant = left.GroupBy(l => l.Instant).ToDictionary(g => g.Key, g => Median.Of(g.Select(l => l.Lightness)));
        Dictionary<int, double> ofArea = left.GroupBy(l => l.Area).ToDictionary(g => g.Key, g => Median.Of(g.Select(l => l.Lightness - ofInstant[l.Instant])));
        double Middle(LeftAt l) => ofInstant[l.Instant] + ofArea[l.Area];
        double reach = Math.Max(1, Farthest * Median.Deviation(left.Select(l => l.Lightness - Middle(l))));
        return [.. left.Select(l => l with { Lightness = Math.Clamp(l.Lightness, Middle(l) - reach, Middle(l) + reach) })];
    }

    private static HashSet<int> Large(LeftAt[] left, Func<LeftAt, int> group) =>
        [.. left.GroupBy(group).Where(g => g.Count() >= FewestOfGroup).Select(g => g.Key)];

    private static int[] Numbered(LeftAt[] left, Func<LeftAt, int> group)
    {
        Dictionary<int, int> numbers = [];
        return [.. left.Select(l => numbers.TryGetValue(group(l), out int n) ? n : numbers[group(l)] = numbers.Count)];
    }

    // The residual of an additive model of both factors' group means, fitted by alternating between the factors until
    // it converges.
    private static double SumOfSquares(double[] values, int[]? first, int[]? second)
    {
        double mean = values.Average();
        double[] rest = [.. values.Select(v => v - mean)];
        for (int round = 0; round < (first is null || second is null ? 1 : Rounds); round++)
        {
            TakeMeans(rest, first);
            TakeMeans(rest, second);
        }

        return rest.Sum(r => r * r);
    }

    private static void TakeMeans(double[] rest, int[]? group)
    {
        if (group is null)
        {
            return;
        }

        double[] sum = new double[group.Max() + 1];
        int[] count = new int[sum.Length];
        for (int i = 0; i < rest.Length; i++)
        {
            sum[group[i]] += rest[i];
            count[group[i]]++;
        }

        for (int i = 0; i < rest.Length; i++)
        {
            rest[i] -= sum[group[i]] / count[group[i]];
        }
    }
}

/// <summary>One remaining lightness difference, with its instant and area.</summary>
/// <param name="Lightness">L* of the primary minus that of the corrected secondary.</param>
/// <param name="Instant">Index of its instant.</param>
/// <param name="Area">Index of its area of the picture.</param>
public readonly record struct LeftAt(double Lightness, int Instant, int Area);

/// <summary>The part that depends on one factor.</summary>
/// <param name="Share">Share of the variance of the whole error, 0..1.</param>
/// <param name="Deviation">Its standard deviation, L*.</param>
/// <param name="Groups">The number of instants or areas.</param>
public sealed record LeftPart(double Share, double Deviation, int Groups);
