namespace Tonematch.Drift;

/// <summary>One point of a course.</summary>
/// <param name="Seconds">Presentation time in the camera's clip.</param>
/// <param name="Value">How its light differs from the usual.</param>
/// <param name="Error">Standard errors of the three; all 0 when not known.</param>
public readonly record struct DriftPoint(double Seconds, DriftValue Value, DriftValue Error = default);
