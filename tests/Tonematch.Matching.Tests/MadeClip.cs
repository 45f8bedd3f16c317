using Tonematch.Colour;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Tests;

/// <summary>Facts of a clip that does not exist, for what needs only the facts.</summary>
internal static class MadeClip
{
    /// <summary>A clip of 25 frames per second.</summary>
    public static ClipInfo Of(string path, int width, int height, double seconds = 10) => new()
    {
        Path = path,
        Container = "mov,mp4,m4a,3gp,3g2,mj2",
        Codec = "h264",
        StoredWidth = width,
        StoredHeight = height,
        Orientation = Orientation.Upright,
        SampleAspect = new Rational(1, 1),
        IsInterlaced = false,
        PixelFormat = "yuv420p",
        BitDepth = 8,
        ChromaSubsampling = "4:2:0",
        ChromaLocation = ChromaLocation.Left,
        Range = SignalRange.Limited,
        Matrix = new CodePoint(1, "bt709"),
        Primaries = new CodePoint(1, "bt709"),
        Transfer = new CodePoint(1, "bt709"),
        IccProfile = null,
        Encoding = SignalEncoding.Bt709,
        FrameRate = new Rational(25, 1),
        TimeBase = new Rational(1, 12800),
        IsVariableRate = false,
        DurationSeconds = seconds,
        ContainerStartSeconds = 0,
        AudioTracks = [],
        Timecode = null,
        IsStillImage = false,
        Assumptions = [],
    };
}
