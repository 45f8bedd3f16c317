namespace Tonematch.Media.Rendering;

/// <summary>How far a rendering is.</summary>
/// <param name="Fraction">0..1.</param>
/// <param name="Left">Estimated time to the end; null before there is an estimate.</param>
public readonly record struct RenderProgress(double Fraction, TimeSpan? Left);
