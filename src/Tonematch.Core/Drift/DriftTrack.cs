using System.Collections.Immutable;

namespace Tonematch.Drift;

/// <summary>
/// The drift of a camera's exposure and white balance over a clip: linear between its points, constant beyond them.
/// </summary>
public sealed class DriftTrack
{
    /// <summary>Makes a drift from points.</summary>
    /// <param name="points">At least one; times ascend strictly.</param>
    /// <exception cref="ArgumentException">There are no points, a number is not finite, or times do not ascend.</exception>
    public DriftTrack(ImmutableArray<DriftPoint> points)
    {
        if (points.IsDefaultOrEmpty)
        {
            throw new ArgumentException("A drift has at least one point.", nameof(points));
        }

        for (int k = 0; k < points.Length; k++)
        {
            DriftValue v = points[k].Value;
            if (!double.IsFinite(points[k].Seconds + v.Stops + v.Mired + v.GreenMagenta) || (k > 0 && points[k].Seconds <= points[k - 1].Seconds))
            {
                throw new ArgumentException("A drift's points are finite numbers, and their times rise.", nameof(points));
            }
        }

        Points = points;
    }

    /// <summary>The points, in order of time.</summary>
    public ImmutableArray<DriftPoint> Points { get; }

    /// <summary>From the lowest to the highest exposure, stops.</summary>
    public double RangeStops => Points.Max(p => p.Value.Stops) - Points.Min(p => p.Value.Stops);

    /// <summary>From the coldest to the warmest, mired.</summary>
    public double RangeMired => Points.Max(p => p.Value.Mired) - Points.Min(p => p.Value.Mired);

    /// <summary>The point at which exposure is furthest from its usual value.</summary>
    public DriftPoint Worst => Points.MaxBy(p => Math.Abs(p.Value.Stops));

    /// <summary>The same drift from another level.</summary>
    public DriftTrack Raised(DriftValue by) => new([.. Points.Select(p => p with { Value = p.Value.Plus(by) })]);

    /// <summary>The drift at a given time.</summary>
    public DriftValue At(double seconds)
    {
        int low = 0, high = Points.Length - 1;
        if (seconds <= Points[low].Seconds)
        {
            return Points[low].Value;
        }

        if (seconds >= Points[high].Seconds)
        {
            return Points[high].Value;
        }

        while (high - low > 1)
        {
            int middle = (low + high) / 2;
            (low, high) = Points[middle].Seconds <= seconds ? (middle, high) : (low, middle);
        }

        double share = (seconds - Points[low].Seconds) / (Points[high].Seconds - Points[low].Seconds);
        return DriftValue.Between(Points[low].Value, Points[high].Value, share);
    }
}
