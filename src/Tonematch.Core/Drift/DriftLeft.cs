namespace Tonematch.Drift;

/// <summary>The remaining difference between the cameras at one time.</summary>
/// <param name="Seconds">Presentation time in the secondary.</param>
/// <param name="Constant">Mean CIEDE2000 with one constant correction.</param>
/// <param name="Following">The same when the drift is removed first.</param>
public sealed record DriftLeft(double Seconds, double Constant, double Following);
