namespace Tonematch.Shoot;

/// <summary>What a device's own clock said when a recording began. It need not be right: only differences are used.</summary>
/// <param name="Seconds">Seconds since any moment that is the same for all recordings of the device.</param>
/// <param name="ErrorSeconds">How exactly it is kept: a frame for timecode, some seconds for a file's date. Above 0.</param>
public sealed record DeviceTime(double Seconds, double ErrorSeconds);
