namespace Tonematch.Checking;

/// <summary>
/// Finds the places at which the level of a noisy series of vectors changes, by binary segmentation (Scott and Knott
/// 1974) on squared error, with a penalty per step of the Schwarz type (Yao 1988) and the noise estimated from
/// differences of neighbours.
/// </summary>
public static class StepFinder
{
    private const int ShortestStretch = 2;

    /// <summary>Indices at which a new level begins, ascending; none for a steady series.</summary>
    /// <param name="series">One vector an instant, all of the same length.</param>
    /// <param name="smallestStep">Steps smaller than this (Euclidean distance between the levels) are not steps.</param>
    public static IReadOnlyList<int> Find(IReadOnlyList<double[]> series, double smallestStep)
    {
        ArgumentNullException.ThrowIfNull(series);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(smallestStep, 0);
        List<int> steps = [];
        if (series.Count >= 2 * ShortestStretch)
        {
            double variance = NoiseVariance(series);
            double penalty = 2 * (series[0].Length + 1) * variance * Math.Log(series.Count);
            Split(series, 0, series.Count, penalty, smallestStep, steps);
            steps.Sort();
        }

        return steps;
    }

    private static void Split(
        IReadOnlyList<double[]> series, int from, int to, double penalty, double smallestStep, List<int> steps)
    {
        if (to - from < 2 * ShortestStretch)
        {
            return;
        }

        double whole = SquaredError(series, from, to);
        int best = -1;
        double bestGain = penalty;
        for (int at = from + ShortestStretch; at <= to - ShortestStretch; at++)
        {
            double gain = whole - SquaredError(series, from, at) - SquaredError(series, at, to);
            if (gain > bestGain && Distance(Mean(series, from, at), Mean(series, at, to)) >= smallestStep)
            {
                (best, bestGain) = (at, gain);
            }
        }

        if (best >= 0)
        {
            steps.Add(best);
            Split(series, from, best, penalty, smallestStep, steps);
            Split(series, best, to, penalty, smallestStep, steps);
        }
    }

    // Half the median squared neighbour difference over the median of chi-squared with one degree of freedom: a few
    // steps among many instants do not disturb it.
    private static double NoiseVariance(IReadOnlyList<double[]> series)
    {
        double sum = 0;
        for (int channel = 0; channel < series[0].Length; channel++)
        {
            double[] squared = new double[series.Count - 1];
            for (int i = 1; i < series.Count; i++)
            {
                double d = series[i][channel] - series[i - 1][channel];
                squared[i - 1] = d * d;
            }

            Array.Sort(squared);
            sum += squared[squared.Length / 2] / 2 / 0.4549;
        }

        return sum / series[0].Length;
    }

    private static double[] Mean(IReadOnlyList<double[]> series, int from, int to)
    {
        double[] mean = new double[series[0].Length];
        for (int i = from; i < to; i++)
        {
            for (int c = 0; c < mean.Length; c++)
            {
                mean[c] += series[i][c] / (to - from);
            }
        }

        return mean;
    }

    private static double SquaredError(IReadOnlyList<double[]> series, int from, int to)
    {
        double[] mean = Mean(series, from, to);
        double sum = 0;
        for (int i = from; i < to; i++)
        {
            double d = Distance(series[i], mean);
            sum += d * d;
        }

        return sum;
    }

    private static double Distance(double[] a, double[] b)
    {
        double sum = 0;
        for (int c = 0; c < a.Length; c++)
        {
            sum += (a[c] - b[c]) * (a[c] - b[c]);
        }

        return Math.Sqrt(sum);
    }
}
