using Tonematch.Numerics;

namespace Tonematch.States;

/// <summary>
/// The light at one instant: the difference between the cameras on what both saw, through one correction for all, or the
/// light of one camera's whole picture.
/// </summary>
/// <param name="Seconds">On a clock shared by all instants examined together.</param>
/// <param name="ExposureStops">Above 0, the secondary is too light.</param>
/// <param name="RedGreenStops">Above 0, it is too red.</param>
/// <param name="BlueGreenStops">Above 0, it is too blue.</param>
public sealed record LightInstant(double Seconds, double ExposureStops, double RedGreenStops, double BlueGreenStops)
{
    /// <summary>How far apart the medians of two sets of at least one instant are: Euclidean, stops.</summary>
    public static double Apart(IReadOnlyCollection<LightInstant> a, IReadOnlyCollection<LightInstant> b)
    {
        ArgumentNullException.ThrowIfNull(a);
        ArgumentNullException.ThrowIfNull(b);
        return Math.Sqrt(Squared(Middle(a), Middle(b)));
    }

    /// <summary>The three figures, stops.</summary>
    internal double[] Stops => [ExposureStops, RedGreenStops, BlueGreenStops];

    /// <summary>The median of each figure, stops; at least one instant.</summary>
    internal static double[] Middle(IReadOnlyCollection<LightInstant> instants) =>
        [Median.Of(instants.Select(i => i.ExposureStops)), Median.Of(instants.Select(i => i.RedGreenStops)), Median.Of(instants.Select(i => i.BlueGreenStops))];

    /// <summary>The squared Euclidean distance of two such triples.</summary>
    internal static double Squared(double[] a, double[] b) => a.Zip(b, (x, y) => (x - y) * (x - y)).Sum();
}
