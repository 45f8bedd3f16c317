using Tonematch.Corrections;

namespace Tonematch.Fitting;

/// <summary>
/// Grouped cross-validation with fixed parts: groups are ordered by the lightness of their primary colours and dealt
/// out in turn, so that each part holds dark and light ones; a group is never split.
/// </summary>
internal sealed class CrossValidation
{
    private const int MinGroups = 3;

    private readonly FitSamples _samples;
    private readonly int[] _fold;
    private readonly int[] _group;
    private readonly int _groups;

    private CrossValidation(FitSamples samples, int[] fold, int[] group, int groups, int folds) =>
        (_samples, _fold, _group, _groups, Folds) = (samples, fold, group, groups, folds);

    /// <summary>How many parts.</summary>
    public int Folds { get; }

    /// <summary>There are enough groups.</summary>
    public bool IsPossible => _groups >= MinGroups;

    public static CrossValidation Plan(FitSamples samples, int maxFolds)
    {
        string[] names = [.. samples.Pairs
            .GroupBy(p => p.Group)
            .OrderBy(g => g.Average(p => p.PrimaryLab.L))
            .ThenBy(g => g.Key, StringComparer.Ordinal)
            .Select(g => g.Key)];
        Dictionary<string, int> number = names.Select((n, i) => (n, i)).ToDictionary(t => t.n, t => t.i, StringComparer.Ordinal);
        int folds = Math.Min(maxFolds, names.Length);
        int[] group = [.. samples.Pairs.Select(p => number[p.Group])];
        return new CrossValidation(samples, [.. group.Select(g => g % folds)], group, names.Length, folds);
    }

    /// <summary>The difference of each pair when its part was left out of the fit.</summary>
    public double[] Differences(KindFitter fitter, Fitted whole, CancellationToken cancel)
    {
        double[] d = new double[_samples.Count];
        for (int f = 0; f < Folds; f++)
        {
            FitSamples rest = _samples.Subset(Enumerable.Range(0, _samples.Count).Where(i => _fold[i] != f));
            Correction correction = fitter.Fit(rest, whole, cancel).Correction;
            for (int i = 0; i < d.Length; i++)
            {
                if (_fold[i] == f)
                {
                    d[i] = _samples.DeltaE(i, _samples.Apply(correction, i));
                }
            }
        }

        return d;
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
    /// The first of the candidates (simple to rich) whose mean is within one standard error of the best one's; index 0
    /// is doing nothing. Candidates without values are passed over.
    /// </summary>
    public int Simplest(IReadOnlyList<double[]?> heldOut)
    {
        int best = 0;
        for (int k = 1; k < heldOut.Count; k++)
        {
            if (heldOut[k] is { } d && Mean(d) < Mean(heldOut[best]!))
            {
                best = k;
            }
        }

        for (int k = 0; k < best; k++)
        {
            if (heldOut[k] is { } d)
            {
                double[] worse = [.. d.Zip(heldOut[best]!, (a, b) => a - b)];
                if (Mean(worse) <= StandardError(worse))
                {
                    return k;
                }
            }
        }

        return best;
    }

    private double Mean(double[] values)
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
