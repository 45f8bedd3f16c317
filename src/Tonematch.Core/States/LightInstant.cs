namespace Tonematch.States;

/// <summary>
/// The difference in light between the cameras at one instant, on what both saw, through one correction for all.
/// </summary>
/// <param name="Seconds">On a clock shared by all instants examined together.</param>
/// <param name="ExposureStops">Above 0, the secondary is too light.</param>
/// <param name="RedGreenStops">Above 0, it is too red.</param>
/// <param name="BlueGreenStops">Above 0, it is too blue.</param>
public sealed record LightInstant(double Seconds, double ExposureStops, double RedGreenStops, double BlueGreenStops);
