namespace Tonematch.Media.Frames;

/// <summary>FFmpeg's information about a decoded frame.</summary>
/// <param name="Seconds">Presentation time on the clip's time line.</param>
/// <param name="Format">Pixel format.</param>
/// <param name="Width">Width after the filters.</param>
/// <param name="Height">Height after the filters.</param>
/// <param name="IsKey">Whether it is a keyframe.</param>
/// <param name="Stretch">Index of its stretch, from 0.</param>
internal readonly record struct FrameLine(double Seconds, string Format, int Width, int Height, bool IsKey, int Stretch);
