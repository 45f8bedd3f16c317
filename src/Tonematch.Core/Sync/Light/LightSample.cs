namespace Tonematch.Sync.Light;

/// <summary>Light and motion of one frame.</summary>
/// <param name="Seconds">The frame's presentation time, seconds.</param>
/// <param name="Lightness">Mean lightness of the frame, in any unit that is constant within a clip.</param>
/// <param name="Motion">Mean absolute difference from the frame before, 0 or more, in any unit; 0 for the first frame.</param>
public readonly record struct LightSample(double Seconds, double Lightness, double Motion);
