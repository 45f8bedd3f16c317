namespace Tonematch.Shoot;

/// <summary>A device's clock against the shoot's: one line for all its recordings.</summary>
/// <param name="Camera">The device.</param>
/// <param name="RatePpm">By how much its clock counts more seconds than the first camera's, parts per million.</param>
/// <param name="RateErrorPpm">Standard error; infinite when nothing measured it, and the rate is taken as 0.</param>
/// <param name="OffsetSeconds">The shoot's time when the device's own clock says 0, or null when its files do not say it.</param>
/// <param name="ClockErrorSeconds">How far the device's own times lie from that line (median).</param>
public sealed record DeviceClock(string Camera, double RatePpm, double RateErrorPpm, double? OffsetSeconds, double ClockErrorSeconds);
