using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Rendering;

/// <summary>Writes pictures that a program drew, with a sound file, as a clip: H.264 and AAC in MP4, BT.709, limited range.</summary>
public static class DrawnClip
{
    // The filter tags every frame: from FFmpeg 7 on, the frames' tags are written, not the encoder's options.
    private const string Tags = "setparams=range=tv:color_primaries=bt709:color_trc=bt709:colorspace=bt709";

    /// <summary>Writes the clip atomically, replacing an existing one.</summary>
    /// <param name="path">The file; a name that ends with .mp4.</param>
    /// <param name="width">Width in pixels, even.</param>
    /// <param name="height">Height in pixels, even.</param>
    /// <param name="rate">Frames per second.</param>
    /// <param name="soundPath">A sound file.</param>
    /// <param name="title">Its title.</param>
    /// <param name="frames">The pictures in order, each as planes of 8-bit Y', Cb, Cr in 4:2:0.</param>
    /// <param name="cancel">Cancels the work; no file remains.</param>
    /// <exception cref="UnusableInputException">FFmpeg is missing or refuses, or the tags read back differently.</exception>
    public static async Task WriteAsync(
        string path, int width, int height, Rational rate, string soundPath, string title, IEnumerable<Task<byte[]>> frames, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(frames);
        using PendingFile pending = PendingFile.Begin(path, force: true, [soundPath]);
        string[] arguments =
        [
            "-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+error",
            "-f", "rawvideo", "-pix_fmt", "yuv420p", "-video_size", string.Create(CultureInfo.InvariantCulture, $"{width}x{height}"),
            "-framerate", rate.ToString(), "-i", "pipe:0",
            "-i", "file:" + soundPath,
            "-map", "0:v:0", "-map", "1:a:0", "-vf", Tags,
            "-c:v", "libx264", "-preset", "ultrafast", "-crf", "18", "-g", "25", "-pix_fmt", "yuv420p",
            "-color_range", "tv", "-colorspace", "bt709", "-color_primaries", "bt709", "-color_trc", "bt709",
            "-c:a", "aac", "-b:a", "128k", "-metadata", "title=" + title,
            "-movflags", "+faststart", "-f", "mp4", "file:" + pending.TemporaryPath,
        ];
        await FeedAsync(path, arguments, frames, cancel).ConfigureAwait(false);
        ClipInfo written = await ClipProbe.ProbeAsync(pending.TemporaryPath, cancel).ConfigureAwait(false);
        WrittenTags.Require(written, new WrittenTags(SignalRange.Limited, 1, 1, 1, ChromaLocation: null), path);
        pending.Commit();
    }

    private static async Task FeedAsync(string path, string[] arguments, IEnumerable<Task<byte[]>> frames, CancellationToken cancel)
    {
        await using FfmpegProcess ffmpeg = FfmpegProcess.Start(FfmpegTools.Ffmpeg, arguments, withInput: true, cancel: cancel);
        try
        {
            foreach (Task<byte[]> frame in frames)
            {
                await ffmpeg.Input.WriteAsync(await frame.ConfigureAwait(false), cancel).ConfigureAwait(false);
            }

            ffmpeg.Input.Close();
        }
        catch (IOException) when (!cancel.IsCancellationRequested)
        {
            // FFmpeg closed its input: its own message below says why.
        }

        if (await ffmpeg.WaitAsync().ConfigureAwait(false) != 0)
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotWritten(path, ffmpeg.ErrorText));
        }
    }
}
