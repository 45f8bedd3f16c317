using System.Collections.Immutable;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Checking;

/// <summary>The match over the whole overlap.</summary>
/// <param name="All">CIEDE2000 over all colours of all instants.</param>
/// <param name="Zones">By zone of the primary's colour: 'shadows', 'middle', 'highlights', 'neutrals', 'skin'; only those with colours in them.</param>
/// <param name="OverTime">Every instant, in order of time.</param>
/// <param name="Steps">Moments at which exposure or white balance change between the cameras.</param>
/// <param name="OneForAllMean">Mean CIEDE2000 with the single correction that was checked.</param>
/// <param name="OnePerStateMean">
/// Mean CIEDE2000 if exposure and white balance were adjusted (gains in linear light) in every part between steps.
/// </param>
/// <param name="Tolerance">The mean CIEDE2000 that passes.</param>
public sealed record CheckResult(
    DeltaEStatistics All,
    ImmutableSortedDictionary<string, DeltaEStatistics> Zones,
    ImmutableArray<InstantFigures> OverTime,
    ImmutableArray<MatchStep> Steps,
    double OneForAllMean,
    double OnePerStateMean,
    double Tolerance)
{
    /// <summary>
    /// Whether the mean over everything is within the tolerance, and no instant's mean is above twice the tolerance.
    /// </summary>
    public bool Passes => All.Mean <= Tolerance && OverTime.All(i => i.DeltaE.Mean <= 2 * Tolerance);

    /// <summary>
    /// Whether exposure or white balance varies by 0.12 stop or more over the instants, so that the clips should be
    /// examined for automatic exposure or white balance.
    /// </summary>
    public bool MayWander => Spread(i => i.ExposureStops) >= WorthLooking || Spread(i => i.RedGreenStops - i.BlueGreenStops) >= WorthLooking;

    private const double WorthLooking = 0.12;

    private double Spread(Func<InstantFigures, double> of) => OverTime.Max(of) - OverTime.Min(of);
}
