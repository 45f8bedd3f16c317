using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Formats.Inputs;

namespace Tonematch.Media.Clips;

/// <summary>
/// What a media file is. Times are on the clip's own time line: 0 is the presentation time of the first frame, as
/// editors count. Colour entries hold what is used; where the file says nothing they hold the assumption, and
/// <see cref="Assumptions"/> says so.
/// </summary>
public sealed record ClipInfo
{
    /// <summary>Absolute path.</summary>
    public required string Path { get; init; }

    /// <summary>Container as FFmpeg names it, e.g. 'mov,mp4,m4a,3gp,3g2,mj2'.</summary>
    public required string Container { get; init; }

    /// <summary>Picture codec as FFmpeg names it, e.g. 'h264'.</summary>
    public required string Codec { get; init; }

    /// <summary>Width in pixels, upright (after <see cref="Orientation"/>).</summary>
    public int Width => Orientation.SwapsSides() ? StoredHeight : StoredWidth;

    /// <summary>Height in pixels, upright.</summary>
    public int Height => Orientation.SwapsSides() ? StoredWidth : StoredHeight;

    /// <summary>Width as stored.</summary>
    public required int StoredWidth { get; init; }

    /// <summary>Height as stored.</summary>
    public required int StoredHeight { get; init; }

    /// <summary>How the stored picture is turned to stand upright.</summary>
    public required Orientation Orientation { get; init; }

    /// <summary>Width of a pixel over its height, as stored; 1/1 when the file does not say.</summary>
    public required Rational SampleAspect { get; init; }

    /// <summary>Frames hold two fields taken at different times.</summary>
    public required bool IsInterlaced { get; init; }

    /// <summary>FFmpeg's name of the decoded pixel format, e.g. 'yuv420p10le'.</summary>
    public required string PixelFormat { get; init; }

    /// <summary>Bits a component; 32 for floating point.</summary>
    public required int BitDepth { get; init; }

    /// <summary>'4:2:0' and the like; null for RGB and grey.</summary>
    public required string? ChromaSubsampling { get; init; }

    /// <summary>Where chroma samples sit.</summary>
    public required ChromaLocation ChromaLocation { get; init; }

    /// <summary>Which codes are black and white.</summary>
    public required SignalRange Range { get; init; }

    /// <summary>Matrix coefficients (H.273 table 4).</summary>
    public required CodePoint Matrix { get; init; }

    /// <summary>Colour primaries (H.273 table 2) as tagged; null when the file does not say.</summary>
    public required CodePoint? Primaries { get; init; }

    /// <summary>Transfer characteristics (H.273 table 3) as tagged; null when the file does not say.</summary>
    public required CodePoint? Transfer { get; init; }

    /// <summary>Description of the ICC profile inside a still picture; null when there is none.</summary>
    public required string? IccProfile { get; init; }

    /// <summary>What the code values are taken to mean.</summary>
    public required SignalEncoding Encoding { get; init; }

    /// <summary>
    /// Applied to every picture of this clip as soon as it is read, and the source of <see cref="Encoding"/>; null for
    /// pictures as recorded. Planes for a viewer, rendered clips and the light used by sync stay as recorded.
    /// </summary>
    public InputLut? InputLut { get; init; }

    /// <summary>High dynamic range (HLG or PQ).</summary>
    public bool IsHdr => Encoding.IsHdr;

    /// <summary>Frames a second, the average for a variable rate; 1/1 for a still picture.</summary>
    public required Rational FrameRate { get; init; }

    /// <summary>Seconds a tick of the time stamps.</summary>
    public required Rational TimeBase { get; init; }

    /// <summary>The time between frames changes.</summary>
    public required bool IsVariableRate { get; init; }

    /// <summary>Length of the pictures in seconds; 0 for a still picture.</summary>
    public required double DurationSeconds { get; init; }

    /// <summary>The container's time stamp of the first frame, in seconds: where the clip's own 0 lies.</summary>
    public required double ContainerStartSeconds { get; init; }

    /// <summary>The sound tracks in file order.</summary>
    public required ImmutableArray<AudioTrack> AudioTracks { get; init; }

    /// <summary>SMPTE timecode of the first frame as tagged, or null.</summary>
    public required string? Timecode { get; init; }

    /// <summary>False for a recorder's file, which holds sound only: it has no sizes, rates or colours, and its rate is its samples a second.</summary>
    public bool HasPictures { get; init; } = true;

    /// <summary>When the recording began by the device's own clock, as tagged, which may be wrong; null when the file does not say.</summary>
    public DateTimeOffset? RecordedAt { get; init; }

    /// <summary>A recorder's own clock at the first sample, seconds since midnight (the time reference of Broadcast Wave, EBU Tech 3285); or null.</summary>
    public double? TimeReferenceSeconds { get; init; }

    /// <summary>Maker and model of the device, as tagged; null when the file does not say.</summary>
    public string? Device { get; init; }

    /// <summary>One picture, no clip: every time asked for gives this picture.</summary>
    public required bool IsStillImage { get; init; }

    /// <summary>A sentence for everything that was assumed because the file does not say it.</summary>
    public required ImmutableArray<string> Assumptions { get; init; }

    /// <summary>The file as FFmpeg may open it.</summary>
    internal Processes.MediaInput Input { get; init; } = null!;

    /// <summary>The frames' times, once they have been read.</summary>
    internal FrameTimes.Known KnownTimes { get; } = new();

    /// <summary>What the FFmpeg that reads it can do.</summary>
    internal Processes.FfmpegCapabilities Ffmpeg { get; init; } = null!;

    /// <summary>Number of the picture stream in the file.</summary>
    internal int StreamIndex { get; init; }

    /// <summary>The container's time stamp of the file's start: what FFmpeg's '-ss' counts from.</summary>
    internal double FileStartSeconds { get; init; }

    /// <summary>Frames are stored in another order than they are shown.</summary>
    internal bool ReordersFrames { get; init; }

    /// <summary>Containers with an index, where a jump lands on the keyframe before; not so in transport streams.</summary>
    internal bool SeeksExactly => Container.Contains("mp4", StringComparison.Ordinal) || Container.Contains("matroska", StringComparison.Ordinal);
}
