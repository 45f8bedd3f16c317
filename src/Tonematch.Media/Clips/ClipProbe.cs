using System.Collections.Immutable;
using System.Globalization;
using System.Text.Json;
using FFMpegCore;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Clips;

/// <summary>Reads the properties of media files.</summary>
public static class ClipProbe
{
    private const string Entries =
        "stream=index,codec_name,codec_type,codec_tag_string,width,height,sample_aspect_ratio,pix_fmt,color_range,color_space,color_transfer,"
        + "color_primaries,chroma_location,field_order,r_frame_rate,avg_frame_rate,time_base,start_pts,start_time,duration,nb_frames,"
        + "bits_per_raw_sample,has_b_frames,sample_rate,channels:stream_disposition=default,attached_pic,timed_thumbnails:stream_tags"
        + ":stream_side_data=side_data_type,displaymatrix,rotation:format=format_name,start_time,duration:format_tags";

    /// <summary>Reads a file's description with ffprobe; no more pictures are decoded than that needs.</summary>
    /// <param name="path">A file on this machine.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    /// <exception cref="UnusableInputException">The file is missing, a folder, empty, cut off, not media, without pictures, protected, a playlist, or in a codec that FFmpeg cannot decode; or FFmpeg is not installed.</exception>
    public static Task<ClipInfo> ProbeAsync(string path, CancellationToken cancel = default) => ProbeAsync(path, takesSound: false, cancel);

    /// <summary>The same, but also accepts files that hold only sound.</summary>
    /// <param name="path">A file on this machine.</param>
    /// <param name="cancel">Cancels the work and the processes.</param>
    /// <exception cref="UnusableInputException">As <see cref="ProbeAsync(string, CancellationToken)"/>, except for sound without pictures.</exception>
    public static Task<ClipInfo> ProbeClipOrSoundAsync(string path, CancellationToken cancel = default) => ProbeAsync(path, takesSound: true, cancel);

    private static async Task<ClipInfo> ProbeAsync(string path, bool takesSound, CancellationToken cancel)
    {
        MediaInput input = MediaInput.Open(path);
        Task<FfmpegCapabilities> ffmpeg = FfmpegCapabilities.ReadAsync(cancel);
        (int code, string json, string errors) = await FfmpegProcess.RunAsync(
            FfmpegTools.Ffprobe,
            ["-v", "error", "-hide_banner", .. input.OpenWith(), "-show_entries", Entries, "-of", "json"],
            cancel,
            maxCharacters: 4_000_000).ConfigureAwait(false);
        if (code != 0)
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotOpened(path, errors));
        }

        FFProbeAnalysis analysis = Parse(path, json);
        if (takesSound && !Pictures(analysis).Any() && SoundStream(analysis) is { } sound)
        {
            return OfSound(input, await ffmpeg.ConfigureAwait(false), analysis, sound);
        }

        FFProbeStream video = VideoStream(path, analysis);
        return await DescribeAsync(path, input, await ffmpeg.ConfigureAwait(false), analysis, video, cancel).ConfigureAwait(false);
    }

    private static FFProbeAnalysis Parse(string path, string json)
    {
        try
        {
            return JsonSerializer.Deserialize<FFProbeAnalysis>(json) ?? throw new JsonException("no content");
        }
        catch (JsonException e)
        {
            throw new UnusableInputException($"FFmpeg's description of '{path}' cannot be understood. Is the file complete?", e);
        }
    }

    // Cover pictures of sound files and thumbnails do not count as clips.
    private static IEnumerable<FFProbeStream> Pictures(FFProbeAnalysis analysis) =>
        (analysis.Streams ?? []).Where(s => s.CodecType == "video" && Flag(s, "attached_pic") == 0 && Flag(s, "timed_thumbnails") == 0);

    private static FFProbeStream? SoundStream(FFProbeAnalysis analysis) => (analysis.Streams ?? []).FirstOrDefault(s =>
        s.CodecType == "audio" && s.CodecName is not (null or "" or "unknown" or "none") && int.TryParse(s.SampleRate, NumberStyles.None, CultureInfo.InvariantCulture, out int rate) && rate > 0);

    private static ClipInfo OfSound(MediaInput input, FfmpegCapabilities ffmpeg, FFProbeAnalysis analysis, FFProbeStream sound)
    {
        double fileStart = Seconds(Text(analysis.Format?.ExtensionData, "start_time") ?? FormatStart(analysis)) ?? 0, start = Seconds(sound.StartTime) ?? fileStart;
        int rate = int.Parse(sound.SampleRate!, NumberStyles.None, CultureInfo.InvariantCulture);
        double duration = Seconds(sound.Duration) ?? TagDuration(sound) ?? (Seconds(analysis.Format?.Duration) ?? 0);
        return new ClipInfo
        {
            Path = input.FullPath,
            Input = input,
            Ffmpeg = ffmpeg,
            StreamIndex = -1,
            HasPictures = false,
            Container = analysis.Format?.FormatName ?? "",
            Codec = sound.CodecName!,
            StoredWidth = 0,
            StoredHeight = 0,
            Orientation = Orientation.Upright,
            SampleAspect = new Rational(1, 1),
            IsInterlaced = false,
            PixelFormat = "",
            BitDepth = 0,
            ChromaSubsampling = null,
            ChromaLocation = ChromaLocation.Left,
            Range = SignalRange.Limited,
            Matrix = new CodePoint(2, "unknown"),
            Primaries = null,
            Transfer = null,
            IccProfile = null,
            Encoding = Colour.SignalEncoding.Bt709,
            FrameRate = new Rational(rate, 1),
            TimeBase = new Rational(1, rate),
            IsVariableRate = false,
            DurationSeconds = duration > 0 ? duration : throw new UnusableInputException($"'{input.FullPath}' does not say how long its sound is. Is the file complete?"),
            ContainerStartSeconds = start,
            FileStartSeconds = fileStart,
            AudioTracks = [.. AudioTracks(analysis, start)],
            Timecode = null,
            RecordedAt = RecordedAt(analysis),
            TimeReferenceSeconds = Tag(analysis.Format?.Tags, "time_reference") is { } samples && Seconds(samples) is double n && n > 0 ? n / rate : null,
            Device = Device(analysis),
            IsStillImage = false,
            Assumptions = [],
        };
    }

    // The first tag is the start of the recording in local time with its zone; the second is in UTC, often to the
    // second. A time without a date is useless.
    private static DateTimeOffset? RecordedAt(FFProbeAnalysis analysis) =>
        (Tag(analysis.Format?.Tags, "com.apple.quicktime.creationdate") ?? Tag(analysis.Format?.Tags, "creation_time")) is { } text
        && text.Contains('-', StringComparison.Ordinal)
        && DateTimeOffset.TryParse(text, CultureInfo.InvariantCulture, DateTimeStyles.AssumeUniversal, out DateTimeOffset time) && time.Year > 1971
            ? time
            : null;

    private static string? Device(FFProbeAnalysis analysis)
    {
        IReadOnlyDictionary<string, string>? tags = analysis.Format?.Tags;
        string? make = Tag(tags, "make") ?? Tag(tags, "com.apple.quicktime.make") ?? Tag(tags, "com.android.manufacturer");
        string? model = Tag(tags, "model") ?? Tag(tags, "com.apple.quicktime.model") ?? Tag(tags, "com.android.model");
        string device = $"{make} {model}".Trim();
        return device.Length > 0 ? device : null;
    }

    private static FFProbeStream VideoStream(string path, FFProbeAnalysis analysis)
    {
        IReadOnlyList<FFProbeStream> streams = analysis.Streams ?? [];
        FFProbeStream[] videos = [.. Pictures(analysis)];
        FFProbeStream? video = videos.FirstOrDefault(s => Flag(s, "default") == 1) ?? videos.FirstOrDefault();
        if (video is null)
        {
            throw new UnusableInputException(streams.Any(s => s.CodecType == "audio")
                ? $"'{path}' holds only sound, no pictures. Give the clip of the camera."
                : $"'{path}' holds no pictures. Give a clip or a photo.");
        }

        if (streams.Any(s => s.CodecTagString is "encv" or "drmi") || video.CodecTagString is "encv" or "drmi")
        {
            throw new UnusableInputException($"'{path}' is copy-protected (encrypted): its pictures cannot be read. Use an unprotected recording.");
        }

        if (video.CodecName is null or "" or "unknown" or "none")
        {
            throw new UnusableInputException(
                $"'{path}' uses a picture codec ('{video.CodecTagString}') that this FFmpeg does not know. Convert it to H.264, H.265 or ProRes first.");
        }

        if (video.Width is not > 0 || video.Height is not > 0 || string.IsNullOrEmpty(video.PixelFormat))
        {
            throw new UnusableInputException(
                $"'{path}' holds a {video.CodecName} picture stream, but no picture in it can be decoded. The file may be cut off: copy it again from the camera.");
        }

        return video;
    }

    private static async Task<ClipInfo> DescribeAsync(
        string path, MediaInput input, FfmpegCapabilities ffmpeg, FFProbeAnalysis analysis, FFProbeStream video, CancellationToken cancel)
    {
        ImmutableArray<string>.Builder assumptions = ImmutableArray.CreateBuilder<string>();
        string container = analysis.Format?.FormatName ?? "";
        int width = video.Width!.Value, height = video.Height!.Value;
        bool still = IsStill(input, container, video);
        StillMetadata metadata = still ? StillMetadata.Read(input.FullPath) : StillMetadata.Nothing;
        PixelLayout? layout = PixelLayout.Find(video.PixelFormat);
        ColourDescription colour = ColourRules.Decide(
            new ColourTags(
                Known(video.ColorRange), Known(video.ColorSpace), Known(video.ColorPrimaries), Known(video.ColorTransfer),
                Known(Text(video, "chroma_location"))),
            video.PixelFormat!, video.CodecName!, width, height, still, metadata.Icc, assumptions);

        Rational timeBase = Rational.Parse(Text(video, "time_base")) ?? new Rational(1, 1000);
        double fileStart = Seconds(Text(analysis.Format?.ExtensionData, "start_time") ?? FormatStart(analysis)) ?? 0;
        double start = Seconds(video.StartTime) ?? fileStart;
        Rational? average = Rational.Parse(video.AvgFrameRate), nominal = Rational.Parse(video.FrameRate);
        Rational rate = average ?? nominal ?? new Rational(25, 1);
        double? fileDuration = Seconds(analysis.Format?.Duration);
        double duration = still ? 0
            : Seconds(video.Duration) ?? TagDuration(video) ?? (fileDuration is { } d ? d - (start - fileStart) : 0);
        if (!still && !(duration > 0))
        {
            duration = await FrameTimes.MeasureDurationAsync(path, input, video.Index, timeBase, cancel).ConfigureAwait(false);
        }

        Orientation orientation = metadata.Orientation ?? OrientationOf(video);
        bool interlaced = Text(video, "field_order") is "tt" or "bb" or "tb" or "bt";
        if (interlaced)
        {
            assumptions.Add("The clip is interlaced: both fields are used as one frame, so moving edges show comb artefacts. Colours of still things are right.");
        }

        if (!still && average is null && nominal is null)
        {
            assumptions.Add("The file does not say its frame rate: 25 frames per second are assumed where a rate is needed.");
        }

        // A container's two rates (lowest common, average) differ if the frame spacing varies.
        bool variable = !still && average is { } a && nominal is { } n && Math.Abs(a.Value - n.Value) > 0.002 * a.Value
            && !(interlaced && Math.Abs((2 * a.Value) - n.Value) < 0.01 * n.Value);

        return new ClipInfo
        {
            Path = input.FullPath,
            Input = input,
            Ffmpeg = ffmpeg,
            StreamIndex = video.Index,
            Container = container,
            Codec = video.CodecName!,
            StoredWidth = width,
            StoredHeight = height,
            Orientation = orientation,
            SampleAspect = Rational.Parse(video.SampleAspectRatio) ?? new Rational(1, 1),
            IsInterlaced = interlaced,
            PixelFormat = video.PixelFormat!,
            BitDepth = layout?.Bits ?? (int.TryParse(video.BitsPerRawSample, NumberStyles.None, CultureInfo.InvariantCulture, out int raw) && raw > 0 ? raw : 8),
            ChromaSubsampling = layout?.Subsampling,
            ChromaLocation = colour.ChromaLocation,
            Range = colour.Range,
            Matrix = colour.Matrix,
            Primaries = colour.Primaries,
            Transfer = colour.Transfer,
            IccProfile = metadata.Icc?.Description,
            Encoding = colour.Encoding,
            FrameRate = still ? new Rational(1, 1) : variable || nominal is null ? rate : nominal.Value.Value <= 240 && !interlaced ? nominal.Value : rate,
            TimeBase = timeBase,
            IsVariableRate = variable,
            DurationSeconds = duration,
            ContainerStartSeconds = start,
            FileStartSeconds = fileStart,
            ReordersFrames = Text(video, "has_b_frames") is not (null or "0"),
            AudioTracks = [.. AudioTracks(analysis, start)],
            Timecode = Timecode(analysis, video),
            RecordedAt = RecordedAt(analysis),
            Device = Device(analysis),
            IsStillImage = still,
            Assumptions = assumptions.ToImmutable(),
        };
    }

    private static bool IsStill(MediaInput input, string container, FFProbeStream video) =>
        input.IsStillFile
        || container.EndsWith("_pipe", StringComparison.Ordinal)
        || (Text(video, "nb_frames") is "1" && (video.CodecName is "av1" or "hevc") && Text(video, "duration") is null or "N/A");

    private static IEnumerable<AudioTrack> AudioTracks(FFProbeAnalysis analysis, double videoStart) =>
        (analysis.Streams ?? []).Where(s => s.CodecType == "audio").Select((s, i) => new AudioTrack(
            i,
            s.CodecName ?? "unknown",
            s.Channels ?? 0,
            int.TryParse(s.SampleRate, NumberStyles.None, CultureInfo.InvariantCulture, out int rate) ? rate : 0,
            Tag(s.Tags, "language") is { } l && l != "und" ? l : null,
            Tag(s.Tags, "title"),
            (Seconds(s.StartTime) ?? videoStart) - videoStart,
            Seconds(s.Duration) ?? TagDuration(s)));

    private static string? Timecode(FFProbeAnalysis analysis, FFProbeStream video) =>
        Tag(video.Tags, "timecode")
        ?? Tag(analysis.Format?.Tags, "timecode")
        ?? (analysis.Streams ?? []).Select(s => Tag(s.Tags, "timecode")).FirstOrDefault(t => t is not null);

    private static Orientation OrientationOf(FFProbeStream video)
    {
        foreach (var data in video.SideData ?? [])
        {
            if (data.TryGetValue("displaymatrix", out var matrix) && matrix?.ToString() is { } text)
            {
                // Three lines 'number: a b u' / 'c d v' / 'x y w'.
                long[] rows = [.. text.Split('\n', StringSplitOptions.RemoveEmptyEntries)
                    .SelectMany(line => line[(line.IndexOf(':', StringComparison.Ordinal) + 1)..].Split(' ', StringSplitOptions.RemoveEmptyEntries))
                    .Select(n => long.TryParse(n, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out long v) ? v : 0)];
                if (rows.Length >= 5)
                {
                    return Orientations.OfDisplayMatrix(rows[0], rows[1], rows[3], rows[4]);
                }
            }
        }

        return Orientation.Upright;
    }

    private static string? FormatStart(FFProbeAnalysis analysis) => analysis.Format?.StartTime;

    private static int Flag(FFProbeStream stream, string name) =>
        stream.Disposition is { } d && d.TryGetValue(name, out int v) ? v : 0;

    private static string? Known(string? word) => word is null or "" or "unknown" or "unspecified" or "reserved" ? null : word;

    private static string? Text(FFProbeStream stream, string name) => name switch
    {
        "field_order" when !string.IsNullOrEmpty(stream.FieldOrder) => stream.FieldOrder,
        _ => Text(stream.ExtensionData, name),
    };

    private static string? Text(IReadOnlyDictionary<string, JsonElement>? data, string name) =>
        data is not null && data.TryGetValue(name, out JsonElement e)
            ? e.ValueKind == JsonValueKind.String ? e.GetString() : e.GetRawText()
            : null;

    private static string? Tag(IReadOnlyDictionary<string, string>? tags, string name) =>
        tags?.FirstOrDefault(t => string.Equals(t.Key, name, StringComparison.OrdinalIgnoreCase)).Value is { Length: > 0 } v ? v : null;

    private static double? Seconds(string? text) =>
        double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double s) && double.IsFinite(s) ? s : null;

    // Matroska stores durations in a tag, '00:01:02.345000000'.
    private static double? TagDuration(FFProbeStream stream) =>
        Tag(stream.Tags, "DURATION") is { } text && TimeSpan.TryParse(text[..Math.Min(text.Length, 16)], CultureInfo.InvariantCulture, out TimeSpan t) && t > TimeSpan.Zero
            ? t.TotalSeconds : null;
}
