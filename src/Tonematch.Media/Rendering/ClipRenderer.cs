using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;

namespace Tonematch.Media.Rendering;

/// <summary>
/// Writes a clip with a correction applied. The colour path is clip -> float R'G'B' -> LUT (tetrahedral) -> the clip's
/// own format with ordered dither, with every step explicit; sound, metadata, rotation, frame times and colour tags are
/// kept.
/// </summary>
/// <remarks>A LUT ends at the edge of its domain: signal beyond black and white is clamped to the edge.</remarks>
public static class ClipRenderer
{
    private static readonly string[] s_mp4Sound = ["aac", "ac3", "eac3", "mp3", "alac", "opus"];
    private static readonly string[] s_movSound = [.. s_mp4Sound[..5], "pcm_s16le", "pcm_s16be", "pcm_s24le", "pcm_s24be", "pcm_s32le", "pcm_f32le"];

    /// <summary>Renders a corrected clip.</summary>
    /// <param name="clip">From <see cref="ClipProbe"/>.</param>
    /// <param name="lut">Maps the clip's code values to corrected ones.</param>
    /// <param name="outputPath">A name that ends with .mp4, .mov or .mkv.</param>
    /// <param name="options">Codec, quality, side by side.</param>
    /// <param name="progress">Receives the progress, about twice a second.</param>
    /// <param name="cancel">Cancels the work; no file remains.</param>
    /// <returns>The written file, read back.</returns>
    /// <exception cref="UnusableInputException">The clip cannot be decoded, the file cannot be written, the disk is full, or this FFmpeg lacks a required feature.</exception>
    public static async Task<RenderResult> RenderAsync(
        ClipInfo clip, Lut3D lut, string outputPath, RenderOptions options, IProgress<RenderProgress>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentNullException.ThrowIfNull(lut);
        ArgumentNullException.ThrowIfNull(options);
        RequireClip(clip);
        MasteringFigures? figures = await MasteringFigures.ReadAsync(clip, cancel).ConfigureAwait(false);
        OutputFormat format = OutputFormat.For(clip, options.OutputEncoding ?? clip.Encoding, options.Codec, options.Quality, outputPath).With(figures);
        AtomicFile.Check(outputPath, options.Force, clip.Path);
        DriftFeed? drift = options.Drift is { } track ? new DriftFeed(track, clip) : null;
        List<string> notes = [.. format.Notes];
        string[] arguments =
        [
            // Turned upright only for two pictures side by side; otherwise the rotation tag is kept.
            .. clip.Input.OpenWith(options.SideBySide ? [] : ["-noautorotate"]),
            .. drift?.InputArguments() ?? [],
            .. Filters(clip, format, options.SideBySide, drift, options.States),
            .. SoundArguments(clip, format.Muxer, notes),
            "-map_metadata", "0", "-map_chapters", "0", "-sn", "-dn",
            .. clip.Ffmpeg.PassEveryFrame,
            // The clip's own time base keeps frame times unchanged, including variable rates.
            "-enc_time_base", string.Create(CultureInfo.InvariantCulture, $"{clip.TimeBase.Numerator}:{clip.TimeBase.Denominator}"),
            .. format.Muxer == "matroska" || clip.TimeBase.Numerator != 1 ? (string[])[] : ["-video_track_timescale", clip.TimeBase.Denominator.ToString(CultureInfo.InvariantCulture)],
            .. format.EncoderArguments(),
        ];
        if (clip.StoredWidth % 2 == 1 || clip.StoredHeight % 2 == 1)
        {
            notes.Add("The clip has an odd width or height: the last column or row is left out, since the codec needs even sides.");
        }

        ClipInfo written = await RenderRun.RunAsync(
            outputPath, options.Force, [clip.Path], lut, format, arguments, clip.DurationSeconds, progress, cancel, drift, options.States).ConfigureAwait(false);
        if (Math.Abs(written.DurationSeconds - clip.DurationSeconds) > Math.Max(0.1, 2 / clip.FrameRate.Value))
        {
            notes.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"The result lasts {written.DurationSeconds:0.##} s, the clip {clip.DurationSeconds:0.##} s: frames that could not be decoded are missing."));
        }

        // With other codecs the metadata travels with the frames, which FFmpeg writes only in some versions and
        // containers: check the result.
        if (figures is not null && !format.LeavesOutFigures && await MasteringFigures.ReadAsync(written, cancel).ConfigureAwait(false) != figures)
        {
            notes.Add("The clip's HDR figures (mastering display, content light) cannot be written with this codec: they are left out. --codec h265 keeps them.");
        }

        return new RenderResult(written, [.. notes]);
    }

    /// <summary>The filter graph of a rendering: for tests, and for users who run FFmpeg themselves.</summary>
    internal static string[] Filters(ClipInfo clip, OutputFormat format, bool sideBySide, DriftFeed? drift, ImmutableArray<TimedLut> states)
    {
        string lut = RenderRun.LutFilters(states, clip.ContainerStartSeconds - clip.FileStartSeconds);
        string video = string.Create(CultureInfo.InvariantCulture, $"0:{clip.StreamIndex}"), toRgb = OutputFormat.ToRgb(clip);
        string Corrected(string from) =>
            $"[{from}]{toRgb}{(drift is null ? "" : $"[light];{drift.Filters("light", 1)}")},{lut},{format.FromRgb()}";
        return sideBySide
            ? [
                "-filter_complex",
                $"[{video}]split=2[a][b];[a]{toRgb},{format.FromRgb()}[left];{Corrected("b")}[right];[left][right]hstack=inputs=2,{format.TagFrames()}[v]",
                "-map", "[v]",
            ]
            : drift is null ? ["-map", video, "-vf", $"{toRgb},{lut},{format.FromRgb()}"]
            : ["-filter_complex", Corrected(video) + "[v]", "-map", "[v]"];
    }

    private static List<string> SoundArguments(ClipInfo clip, string muxer, List<string> notes)
    {
        List<string> arguments = [];
        for (int i = 0; i < clip.AudioTracks.Length; i++)
        {
            if (!clip.AudioTracks[i].IsReadable)
            {
                notes.Add(string.Create(CultureInfo.InvariantCulture, $"Sound track {i} has a format that this FFmpeg does not know: it is left out."));
                continue;
            }

            string codec = clip.AudioTracks[i].Codec;
            bool copies = muxer switch
            {
                "mp4" => s_mp4Sound.Contains(codec),
                "mov" => s_movSound.Contains(codec),
                _ => true,
            };
            string number = (arguments.Count(a => a == "-map")).ToString(CultureInfo.InvariantCulture);
            arguments.AddRange(["-map", string.Create(CultureInfo.InvariantCulture, $"0:a:{i}")]);
            arguments.AddRange(copies ? ["-c:a:" + number, "copy"] : ["-c:a:" + number, "aac", "-b:a:" + number, "256k"]);
            if (!copies)
            {
                notes.Add(string.Create(CultureInfo.InvariantCulture, $"Sound track {i} ({codec}) does not fit into .{muxer} files: it is written as AAC, 256 kbit/s. Write .mkv to keep it."));
            }
        }

        return arguments;
    }

    internal static void RequireClip(ClipInfo clip)
    {
        if (clip.IsStillImage)
        {
            throw new UnusableInputException($"'{clip.Path}' is a photo, not a clip. Apply the LUT to it in a picture program, or give a clip.");
        }

        if (clip.Matrix.Code is not (0 or 1 or 4 or 5 or 6 or 7 or 9))
        {
            throw new UnusableInputException($"'{clip.Path}' stores its colours with the matrix '{clip.Matrix.Name}', which cannot be converted here. Convert it to BT.709 or BT.2020 first.");
        }
    }
}
