namespace Tonematch.Media.Frames;

/// <summary>What FFmpeg says about a decoded frame.</summary>
/// <param name="Seconds">Presentation time on the clip's time line.</param>
/// <param name="Format">Pixel format.</param>
/// <param name="Width">As it leaves the filters.</param>
/// <param name="Height">Likewise.</param>
/// <param name="IsKey">A keyframe.</param>
/// <param name="Stretch">Number of the stretch it belongs to, from 0.</param>
internal readonly record struct FrameLine(double Seconds, string Format, int Width, int Height, bool IsKey, int Stretch);
