namespace Tonematch.Media.Rendering;

/// <summary>The progress of a rendering.</summary>
/// <param name="Fraction">0..1.</param>
/// <param name="Left">Estimated remaining time; null before there is an estimate.</param>
public readonly record struct RenderProgress(double Fraction, TimeSpan? Left);
