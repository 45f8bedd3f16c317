using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Media.Frames;

/// <summary>One frame of a clip.</summary>
/// <param name="Picture">Upright, in the clip's encoding.</param>
/// <param name="Seconds">The frame's own presentation time on the clip's time line (0 = first frame): at or before the requested instant.</param>
public sealed record GrabbedFrame(Picture Picture, double Seconds)
{
    /// <summary>The same frame with another encoding of its code values.</summary>
    /// <param name="encoding">The encoding.</param>
    public GrabbedFrame InEncoding(SignalEncoding encoding) =>
        Picture.Encoding == encoding ? this : this with { Picture = Picture.WithEncoding(encoding) };
}
