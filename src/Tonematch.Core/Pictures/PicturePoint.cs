namespace Tonematch.Pictures;

/// <summary>
/// A point in an upright picture, in pixels: the top left pixel covers 0..1 in both directions, so its centre is at
/// (0.5, 0.5).
/// </summary>
/// <param name="X">Pixels from the left edge.</param>
/// <param name="Y">Pixels from the top edge.</param>
public readonly record struct PicturePoint(double X, double Y);
