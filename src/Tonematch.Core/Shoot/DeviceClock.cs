namespace Tonematch.Shoot;

/// <summary>A device's clock relative to the shoot's clock: one line for all its recordings.</summary>
/// <param name="Camera">The device.</param>
/// <param name="RatePpm">How much faster its clock counts than the first camera's, parts per million.</param>
/// <param name="RateErrorPpm">Standard error; infinite if the rate was not measured and is assumed to be 0.</param>
/// <param name="OffsetSeconds">The shoot's time when the device's own clock shows 0; null if its files do not state it.</param>
/// <param name="ClockErrorSeconds">Median distance of the device's own times from that line.</param>
public sealed record DeviceClock(string Camera, double RatePpm, double RateErrorPpm, double? OffsetSeconds, double ClockErrorSeconds);
