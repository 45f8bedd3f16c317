using System.Globalization;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>
/// A small copy of a clip for playback: 8-bit H.264 that every browser plays, the same code values (no tone mapping
/// from HDR), all tags written, frequent keyframes for quick seeking, no sound.
/// </summary>
public static class PreviewClip
{
    /// <summary>Writes the copy.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="outputPath">A name that ends with .mp4.</param>
    /// <param name="side">Longest side in pixels, at least 16.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Cancels the work; no file remains.</param>
    /// <exception cref="UnusableInputException">The clip cannot be decoded, or the file cannot be written.</exception>
    public static Task<ClipInfo> RenderAsync(
        ClipInfo clip, string outputPath, int side, IProgress<RenderProgress>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentOutOfRangeException.ThrowIfLessThan(side, 16);
        (int width, int height) = Frames.FrameReader.Scaled(clip, side) ?? (clip.StoredWidth / 2 * 2, clip.StoredHeight / 2 * 2);
        if (clip.Orientation.SwapsSides())
        {
            // FFmpeg turns the picture upright before the first filter.
            (width, height) = (height, width);
        }

        PixelLayout? layout = PixelLayout.Find(clip.PixelFormat);
        bool keepsMatrix = layout is { IsYcbcr: true } && clip.Matrix.Code is 1 or 4 or 5 or 6 or 7 or 9;
        int matrix = keepsMatrix ? clip.Matrix.Code : 1;
        bool full = keepsMatrix && clip.Range == SignalRange.Full;
        string range = full ? "full" : "limited";
        OutputFormat format = new()
        {
            Muxer = "mp4",
            Codec = RenderCodec.H264,
            Quality = 18,
            PixelFormat = full ? "yuvj420p" : "yuv420p",
            Range = full ? SignalRange.Full : SignalRange.Limited,
            Matrix = matrix,
            Primaries = clip.Primaries?.Code ?? 1,
            Transfer = clip.Transfer?.Code ?? 1,
            ChromaLocation = ChromaLocation.Left,
            Notes = [],
        };

        // Only the size changes, not the codes, so input and output are declared the same. R'G'B' becomes BT.709.
        string colours = keepsMatrix ? $"in_range={range}:out_range={range}" : "out_color_matrix=bt709:out_range=limited";
        string[] arguments =
        [
            .. clip.Input.OpenWith(),
            "-map", string.Create(CultureInfo.InvariantCulture, $"0:{clip.StreamIndex}"), "-an", "-sn", "-dn", "-map_metadata", "-1",
            "-vf", string.Create(CultureInfo.InvariantCulture, $"scale={width}:{height}:flags=area:{colours},format={format.PixelFormat},{format.TagFrames()}"),
            .. clip.Ffmpeg.PassEveryFrame, .. format.EncoderArguments(), "-preset", "ultrafast", "-g", "12", "-bf", "0", "-movflags", "+faststart",
        ];
        return RenderRun.RunAsync(outputPath, force: true, [clip.Path], lut: null, format, arguments, clip.DurationSeconds, progress, cancel);
    }
}
