using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Formats.Inputs;

namespace Tonematch.Media.Clips;

/// <summary>
/// The properties of a media file. Times are on the clip's own time line: 0 is the presentation time of the first
/// frame, as in editors. Colour properties hold the values in use; if the file does not state them, they are
/// assumptions listed in <see cref="Assumptions"/>.
/// </summary>
public sealed record ClipInfo
{
    /// <summary>Absolute path.</summary>
    public required string Path { get; init; }

    /// <summary>FFmpeg's name for the container, e.g. 'mov,mp4,m4a,3gp,3g2,mj2'.</summary>
    public required string Container { get; init; }

    /// <summary>FFmpeg's name for the picture codec, e.g. 'h264'.</summary>
    public required string Codec { get; init; }

    /// <summary>Width in pixels, upright (after <see cref="Orientation"/>).</summary>
    public int Width => Orientation.SwapsSides() ? StoredHeight : StoredWidth;

    /// <summary>Height in pixels, upright.</summary>
    public int Height => Orientation.SwapsSides() ? StoredWidth : StoredHeight;

    /// <summary>Width as stored.</summary>
    public required int StoredWidth { get; init; }

    /// <summary>Height as stored.</summary>
    public required int StoredHeight { get; init; }

    /// <summary>How the stored picture must be turned to be upright.</summary>
    public required Orientation Orientation { get; init; }

    /// <summary>Ratio of a pixel's width to its height, as stored; 1/1 if the file does not state it.</summary>
    public required Rational SampleAspect { get; init; }

    /// <summary>Whether frames hold two fields taken at different times.</summary>
    public required bool IsInterlaced { get; init; }

    /// <summary>FFmpeg's name for the decoded pixel format, e.g. 'yuv420p10le'.</summary>
    public required string PixelFormat { get; init; }

    /// <summary>Bits per component; 32 for floating point.</summary>
    public required int BitDepth { get; init; }

    /// <summary>For example '4:2:0'; null for RGB and grey.</summary>
    public required string? ChromaSubsampling { get; init; }

    /// <summary>The position of chroma samples.</summary>
    public required ChromaLocation ChromaLocation { get; init; }

    /// <summary>Which codes are black and white.</summary>
    public required SignalRange Range { get; init; }

    /// <summary>Matrix coefficients (H.273 table 4).</summary>
    public required CodePoint Matrix { get; init; }

    /// <summary>Colour primaries (H.273 table 2) as tagged; null if the file does not state it.</summary>
    public required CodePoint? Primaries { get; init; }

    /// <summary>Transfer characteristics (H.273 table 3) as tagged; null if the file does not state it.</summary>
    public required CodePoint? Transfer { get; init; }

    /// <summary>Description of a still picture's ICC profile; null if there is none.</summary>
    public required string? IccProfile { get; init; }

    /// <summary>The encoding of the code values, as tagged or assumed.</summary>
    public required SignalEncoding Encoding { get; init; }

    /// <summary>
    /// Applied to every picture of this clip as soon as it is read, and the source of <see cref="Encoding"/>; null for
    /// pictures as recorded. Planes for a viewer, rendered clips and the light used by sync stay as recorded.
    /// </summary>
    public InputLut? InputLut { get; init; }

    /// <summary>Whether the clip is high dynamic range (HLG or PQ).</summary>
    public bool IsHdr => Encoding.IsHdr;

    /// <summary>Frames per second, the average for a variable rate; 1/1 for a still picture.</summary>
    public required Rational FrameRate { get; init; }

    /// <summary>Seconds per tick of the time stamps.</summary>
    public required Rational TimeBase { get; init; }

    /// <summary>Whether the time between frames varies.</summary>
    public required bool IsVariableRate { get; init; }

    /// <summary>Length of the pictures in seconds; 0 for a still picture.</summary>
    public required double DurationSeconds { get; init; }

    /// <summary>The container's time stamp of the first frame, in seconds: the clip's own 0.</summary>
    public required double ContainerStartSeconds { get; init; }

    /// <summary>The sound tracks in file order.</summary>
    public required ImmutableArray<AudioTrack> AudioTracks { get; init; }

    /// <summary>SMPTE timecode of the first frame as tagged, or null.</summary>
    public required string? Timecode { get; init; }

    /// <summary>
    /// False for a file of a sound recorder: it has no picture size or colours, and its rate is its samples per second.
    /// </summary>
    public bool HasPictures { get; init; } = true;

    /// <summary>
    /// The start of the recording by the device's own clock, as tagged, which may be wrong; null if the file does not
    /// state it.
    /// </summary>
    public DateTimeOffset? RecordedAt { get; init; }

    /// <summary>A recorder's own clock at the first sample, seconds since midnight (the time reference of Broadcast Wave, EBU Tech 3285); or null.</summary>
    public double? TimeReferenceSeconds { get; init; }

    /// <summary>Maker and model of the device, as tagged; null if the file does not state it.</summary>
    public string? Device { get; init; }

    /// <summary>Whether the file is a single picture: every requested time gives this picture.</summary>
    public required bool IsStillImage { get; init; }

    /// <summary>A sentence for everything assumed because the file does not state it.</summary>
    public required ImmutableArray<string> Assumptions { get; init; }

    /// <summary>The file, checked, with the arguments to open it in FFmpeg.</summary>
    internal Processes.MediaInput Input { get; init; } = null!;

    /// <summary>The cached frame times.</summary>
    internal FrameTimes.Known KnownTimes { get; } = new();

    /// <summary>The capabilities of the FFmpeg that reads it.</summary>
    internal Processes.FfmpegCapabilities Ffmpeg { get; init; } = null!;

    /// <summary>Index of the picture stream in the file.</summary>
    internal int StreamIndex { get; init; }

    /// <summary>The container's time stamp of the file's start, from which FFmpeg's '-ss' counts.</summary>
    internal double FileStartSeconds { get; init; }

    /// <summary>Whether frames are stored in a different order from the one shown.</summary>
    internal bool ReordersFrames { get; init; }

    /// <summary>
    /// Whether the container has an index, so that seeking lands on the previous keyframe; not so in transport streams.
    /// </summary>
    internal bool SeeksExactly => Container.Contains("mp4", StringComparison.Ordinal) || Container.Contains("matroska", StringComparison.Ordinal);
}
