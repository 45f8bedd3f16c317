namespace Tonematch.Checking;

/// <summary>A moment at which the difference between the two cameras changes.</summary>
/// <param name="PrimarySeconds">Midway to the previous instant, in the primary.</param>
/// <param name="SecondarySeconds">The same moment in the secondary.</param>
/// <param name="ExposureStops">Change of the exposure difference: above 0, the secondary becomes lighter.</param>
/// <param name="RedGreenStops">Change of the red/green difference.</param>
/// <param name="BlueGreenStops">Change of the blue/green difference.</param>
public sealed record MatchStep(
    double PrimarySeconds, double SecondarySeconds, double ExposureStops, double RedGreenStops, double BlueGreenStops)
{
    /// <summary>
    /// Whether exposure steps by a sixth of a stop or more (common practice: the smallest usual camera step is a
    /// third).
    /// </summary>
    public bool IsExposure => Math.Abs(ExposureStops) >= 1.0 / 6;

    /// <summary>Whether white balance steps by a tenth of a stop between channels or more.</summary>
    public bool IsWhiteBalance => Math.Max(Math.Abs(RedGreenStops), Math.Abs(BlueGreenStops)) >= 0.1;
}
