namespace Tonematch.Shoot;

/// <summary>One recording of a shoot, before it has a place in time.</summary>
/// <param name="Camera">The device that made it: clips of one device share a clock and never run at the same time.</param>
/// <param name="Name">How sentences and files name it; unique within the shoot.</param>
/// <param name="DurationSeconds">How long it runs by its own clock, above 0.</param>
/// <param name="DeviceTime">When it began by the device's own clock, or null when the file does not say.</param>
public sealed record ShootClip(string Camera, string Name, double DurationSeconds, DeviceTime? DeviceTime = null);
