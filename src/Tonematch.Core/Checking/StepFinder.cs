
namespace Tonematch.Checking;

/// <summary>
/// Finds the places at which the level of a noisy series of vectors changes, by binary segmentation (Scott and Knott
/// 1974) on squared error, with a penalty per step of the Schwarz type (Yao 1988) and the noise estimated from
/// differences of neighbours.
/// </summary>
public static class StepFinder
{
    /// <summary>Indices at which a new level begins, ascending; none for a steady series.</summary>
    /// <param name="series">One vector per instant, all of the same length.</param>
    /// <param name="smallestStep">Steps smaller than this (Euclidean distance between the levels) are not steps.</param>
    /// <param name="shortestStretch">The shortest level, instants, 1 or more.</param>
    public static IReadOnlyList<int> Find(IReadOnlyList<double[]> series, double smallestStep, int shortestStretch = 2)
    {
        ArgumentNullException.ThrowIfNull(series);
        ArgumentOutOfRangeException.ThrowIfLessThanOrEqual(smallestStep, 0);
        ArgumentOutOfRangeException.ThrowIfLessThan(shortestStretch, 1);
        List<int> steps = [];
        if (series.Count >= 2 * shortestStretch)
        {
            double variance = NoiseVariance(series);
            double penalty = 2 * (series[0].Length + 1) * variance * Math.Log(series.Count);
            new Segmentation(series, smallestStep, shortestStretch, penalty, steps).Split(0, series.Count);
            steps.Sort();
        }

        return steps;
    }

    // Half the median squared neighbour difference over the median of chi-squared with one degree of freedom: a few
    // steps among many instants hardly affect it.
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

    // Running sums turn the error of any section into a subtraction: an hour of frames is split in milliseconds.
    private sealed class Segmentation
    {
        private readonly double _smallestStep, _penalty;
        private readonly int _shortest, _channels;
        private readonly List<int> _steps;
        private readonly double[] _sums, _squares;

        public Segmentation(IReadOnlyList<double[]> series, double smallestStep, int shortest, double penalty, List<int> steps)
        {
            (_smallestStep, _shortest, _penalty, _steps) = (smallestStep, shortest, penalty, steps);
            _channels = series[0].Length;
            _sums = new double[(series.Count + 1) * _channels];
            _squares = new double[series.Count + 1];

            // Relative to the first value, so that sums of squares stay small and lose no digits.
            double[] origin = series[0];
            for (int i = 0; i < series.Count; i++)
            {
                _squares[i + 1] = _squares[i];
                for (int c = 0; c < _channels; c++)
                {
                    double d = series[i][c] - origin[c];
                    _sums[((i + 1) * _channels) + c] = _sums[(i * _channels) + c] + d;
                    _squares[i + 1] += d * d;
                }
            }
        }

        public void Split(int from, int to)
        {
            if (to - from < 2 * _shortest)
            {
                return;
            }

            double whole = SquaredError(from, to), bestGain = _penalty;
            int best = -1;
            for (int at = from + _shortest; at <= to - _shortest; at++)
            {
                double gain = whole - SquaredError(from, at) - SquaredError(at, to);
                if (gain > bestGain && Distance(from, at, to) >= _smallestStep)
                {
                    (best, bestGain) = (at, gain);
                }
            }

            if (best >= 0)
            {
                _steps.Add(best);
                Split(from, best);
                Split(best, to);
            }
        }

        private double Sum(int from, int to, int channel) => _sums[(to * _channels) + channel] - _sums[(from * _channels) + channel];

        private double SquaredError(int from, int to)
        {
            double error = _squares[to] - _squares[from];
            for (int c = 0; c < _channels; c++)
            {
                double sum = Sum(from, to, c);
                error -= sum * sum / (to - from);
            }

            return error;
        }

        private double Distance(int from, int at, int to)
        {
            double sum = 0;
            for (int c = 0; c < _channels; c++)
            {
                double d = (Sum(from, at, c) / (at - from)) - (Sum(at, to, c) / (to - at));
                sum += d * d;
            }

            return Math.Sqrt(sum);
        }
    }
}
