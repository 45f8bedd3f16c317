namespace Tonematch.Drift;

/// <summary>What is left of the cameras' difference at one time.</summary>
/// <param name="Seconds">Presentation time in the secondary.</param>
/// <param name="Constant">Mean CIEDE2000 with one constant correction.</param>
/// <param name="Following">The same when the course is taken out first.</param>
public sealed record DriftLeft(double Seconds, double Constant, double Following);
