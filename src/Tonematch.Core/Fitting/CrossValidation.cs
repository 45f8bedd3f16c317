using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Fitting.Solvers;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>
/// Grouped cross-validation with fixed folds: groups are sorted by the lightness of their primary colours (a chart's
/// first) and dealt out in turn, so that each fold holds dark and light ones; a group is never split.
/// </summary>
internal sealed class CrossValidation
{
    private const int MinGroups = 3;

    // With many pairs, a fit to four fifths of them is as good as one to eleven twelfths. Pairs are counted by weight
    // (L. Kish, Survey Sampling, 1965, 11.7): a chart among hundreds of pairs with tiny weights still counts as two
    // dozen.
    private const int ManyPairs = 200;
    private const int FoldsOfMany = 5;

    // Kinds within one standard error count as equal only up to these differences of the mean: a twentieth of the best
    // and, for doing nothing, the smallest difference visible side by side. With six pairs the standard error is so
    // large that everything would count as equal.
    private const double LargestShare = 0.05;
    private const double JustSeen = 1;

    // Differences of the mean that do not count. If the best kind leaves less than Unseen, the remainder is invisible,
    // and so is a little more from the simpler kind. If it leaves more, part of that may be noise of the pairs, which
    // is in every kind's mean alike, and 0.01 between the means may be a fifth of the correction's own error.
    private const double Unseen = 0.5;
    private const double NothingUnseen = 0.02;
    private const double Nothing = 0.001;

    private readonly FitSamples _samples;
    private readonly int[] _fold;
    private readonly int[] _group;
    private readonly int _groups;

    // Larger sets are condensed, each fold separately, so that no fold leaks into the fit it judges.
    private const int MaxFitted = 240;

    private readonly FitSamples[] _rest;

    private CrossValidation(FitSamples samples, int[] fold, int[] group, int groups, int folds)
    {
        (_samples, _fold, _group, _groups, Folds) = (samples, fold, group, groups, folds);
        if (samples.Count <= MaxFitted)
        {
            Condensed = samples;
            _rest = [.. Enumerable.Range(0, folds).Select(f => samples.Subset(Enumerable.Range(0, samples.Count).Where(i => fold[i] != f)))];
            return;
        }

        FitSamples[] parts = [.. Enumerable.Range(0, folds).Select(f =>
            samples.Subset(Enumerable.Range(0, samples.Count).Where(i => fold[i] == f)).Condensed(MaxFitted / folds))];
        FitSamples Together(Func<int, bool> which) => samples.With([.. parts.Where((_, f) => which(f)).SelectMany(p => p.Pairs)]).Normalised();
        Condensed = Together(_ => true);
        _rest = [.. Enumerable.Range(0, folds).Select(f => Together(p => p != f))];
    }

    /// <summary>The number of folds.</summary>
    public int Folds { get; }

    /// <summary>The pairs, condensed if there are many: good enough for all but the last step of a fit.</summary>
    public FitSamples Condensed { get; }

    /// <summary>The fold of a pair, by its index in the samples.</summary>
    public int FoldOf(int pair) => _fold[pair];

    /// <summary>Whether there are enough groups.</summary>
    public bool IsPossible => _groups >= MinGroups;

    public static CrossValidation Plan(FitSamples samples, int maxFolds)
    {
        string[] names = [.. samples.Pairs
            .GroupBy(p => p.Group)
            .OrderBy(g => SampleLocality.IsChart(g.First().Locality) ? 0 : 1)
            .ThenBy(g => g.Average(p => p.PrimaryLab.L))
            .ThenBy(g => g.Key, StringComparer.Ordinal)
            .Select(g => g.Key)];
        Dictionary<string, int> number = names.Select((n, i) => (n, i)).ToDictionary(t => t.n, t => t.i, StringComparer.Ordinal);
        double sum = samples.Pairs.Sum(p => p.Weight), squares = samples.Pairs.Sum(p => p.Weight * p.Weight);
        int folds = Math.Min(sum * sum > ManyPairs * squares ? Math.Min(maxFolds, FoldsOfMany) : maxFolds, names.Length);
        int[] group = [.. samples.Pairs.Select(p => number[p.Group])];
        return new CrossValidation(samples, [.. group.Select(g => g % folds)], group, names.Length, folds);
    }

    /// <summary>The difference of each pair when its fold is left out of the fit.</summary>
    public double[] Differences(KindFitter fitter, Fitted whole, CancellationToken cancel) => Differences(fitter, whole, _samples, cancel).Given;

    /// <summary>
    /// The difference of each pair when its fold is left out of the fit: for the pair as given to the fit, and as
    /// recorded.
    /// </summary>
    /// <param name="fitter">Fits one kind.</param>
    /// <param name="whole">The fit to all pairs, used as the starting point.</param>
    /// <param name="recorded">The same pairs in the same order, as recorded.</param>
    /// <param name="cancel">Stops the fits.</param>
    public (double[] Given, double[] Recorded) Differences(KindFitter fitter, Fitted whole, FitSamples recorded, CancellationToken cancel)
    {
        double[] given = new double[_samples.Count], there = recorded == _samples ? given : new double[given.Length];
        Parallel.For(0, Folds, new ParallelOptions { CancellationToken = cancel }, f =>
        {
            Func<CodeRgb, CodeRgb> map = fitter.Fit(_rest[f], whole, cancel).Map;
            for (int i = 0; i < given.Length; i++)
            {
                if (_fold[i] == f)
                {
                    given[i] = _samples.DeltaE(i, map(_samples.Pairs[i].Secondary));
                    there[i] = recorded == _samples ? given[i] : recorded.DeltaE(i, map(recorded.Pairs[i].Secondary));
                }
            }
        });
        return (given, there);
    }

    /// <summary>Standard error of the weighted mean, from the scatter of the groups' means.</summary>
    public double StandardError(double[] values)
    {
        (double[] mean, double[] weight) = GroupMeans(values);
        double total = weight.Sum(), centre = 0, variance = 0;
        for (int g = 0; g < _groups; g++)
        {
            centre += weight[g] / total * mean[g];
        }

        for (int g = 0; g < _groups; g++)
        {
            double share = weight[g] / total, off = mean[g] - centre;
            variance += share * share * off * off;
        }

        return Math.Sqrt(variance * _groups / (_groups - 1.0));
    }

    /// <summary>
    /// The first of the candidates (from simple to flexible) whose mean is within one standard error of the best one's;
    /// index 0 is doing nothing. Candidates without values, or not <paramref name="eligible"/>, are skipped.
    /// </summary>
    public int Simplest(IReadOnlyList<double[]?> heldOut, IReadOnlyList<bool> eligible)
    {
        int[] tried = [.. Enumerable.Range(0, heldOut.Count).Where(k => heldOut[k] is not null && eligible[k])];
        // Measured by the best kind: a held-out mismatch must not decide.
        double limit = MismatchRule.Limit(tried.Min(k => Median(heldOut[k]!)));
        Dictionary<int, double[]> limited = tried.ToDictionary(k => k, k => heldOut[k]!.Select(d => Math.Min(d, limit)).ToArray());
        int best = tried.MinBy(k => Mean(limited[k]));
        double least = Mean(limited[best]), nothing = least < Unseen ? NothingUnseen : Nothing;
        foreach (int k in tried.Where(k => k < best))
        {
            double[] worse = [.. limited[k].Zip(limited[best], (a, b) => a - b)];
            double allowed = Math.Min(StandardError(worse), k == 0 ? JustSeen : LargestShare * least);
            if (Mean(worse) <= Math.Max(allowed, nothing))
            {
                return k;
            }
        }

        return best;
    }

    /// <summary>
    /// The candidate with the smallest mean that was not chosen, how much smaller its mean is, and the standard error
    /// of that; null if the chosen one has the smallest.
    /// </summary>
    /// <param name="heldOut">As for <see cref="Simplest"/>.</param>
    /// <param name="eligible">As for <see cref="Simplest"/>.</param>
    /// <param name="chosen">The result of <see cref="Simplest"/>.</param>
    public (int Best, double Difference, double Uncertainty)? PassedOver(IReadOnlyList<double[]?> heldOut, IReadOnlyList<bool> eligible, int chosen)
    {
        int best = Enumerable.Range(0, heldOut.Count).Where(k => heldOut[k] is not null && eligible[k]).MinBy(k => Mean(heldOut[k]!));
        double[] worse = [.. heldOut[chosen]!.Zip(heldOut[best]!, (a, b) => a - b)];
        return best <= chosen ? null : (best, Mean(worse), StandardError(worse));
    }

    /// <summary>The weighted mean over the pairs.</summary>
    public double Mean(double[] values)
    {
        double sum = 0, total = 0;
        for (int i = 0; i < values.Length; i++)
        {
            double w = _samples.Pairs[i].Weight;
            sum += w * values[i];
            total += w;
        }

        return sum / total;
    }

    private double Median(double[] values) => DeltaEStatistics.Of(values, [.. _samples.Pairs.Select(p => p.Weight)]).Median;

    private (double[] Mean, double[] Weight) GroupMeans(double[] values)
    {
        double[] mean = new double[_groups], weight = new double[_groups];
        for (int i = 0; i < values.Length; i++)
        {
            double w = _samples.Pairs[i].Weight;
            mean[_group[i]] += w * values[i];
            weight[_group[i]] += w;
        }

        for (int g = 0; g < _groups; g++)
        {
            mean[g] /= weight[g];
        }

        return (mean, weight);
    }
}
