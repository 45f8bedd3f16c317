namespace Tonematch.Drift;

/// <summary>One point of a drift.</summary>
/// <param name="Seconds">Presentation time in the camera's clip.</param>
/// <param name="Value">How the camera's light differs from its usual value.</param>
/// <param name="Error">Standard errors of the three; all 0 if unknown.</param>
public readonly record struct DriftPoint(double Seconds, DriftValue Value, DriftValue Error = default);
