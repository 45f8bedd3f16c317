namespace Tonematch.Shoot;

/// <summary>
/// The reading of a device's own clock at the start of a recording. It need not be correct: only differences are used.
/// </summary>
/// <param name="Seconds">Seconds since an arbitrary moment that is the same for all recordings of the device.</param>
/// <param name="ErrorSeconds">Its accuracy: a frame for timecode, several seconds for a file's date. Above 0.</param>
public sealed record DeviceTime(double Seconds, double ErrorSeconds);
