namespace Tonematch.Shoot;

/// <summary>One recording of a shoot, before it has a place in time.</summary>
/// <param name="Camera">The device that made it: clips of one device share a clock and never run at the same time.</param>
/// <param name="Name">Its name in sentences and files; unique within the shoot.</param>
/// <param name="DurationSeconds">Its length by its own clock, above 0.</param>
/// <param name="DeviceTime">Its start by the device's own clock; null if the file does not state it.</param>
public sealed record ShootClip(string Camera, string Name, double DurationSeconds, DeviceTime? DeviceTime = null);
