using System.Text;

namespace Tonematch.Media.Processes;

/// <summary>
/// A media file of unknown origin, checked as far as possible without decoding, and the arguments with which FFmpeg may
/// open it: by a local path only, and only as formats that hold their own data.
/// </summary>
/// <param name="FullPath">Absolute path.</param>
/// <param name="ForcedFormat">The demuxer for a still picture, chosen by content; null leaves it to FFmpeg.</param>
internal sealed record MediaInput(string FullPath, string? ForcedFormat)
{
    // Formats that hold their own pictures and sound. Playlists (hls, concat, dash, sdp, imf), image sequences,
    // subtitles, devices and raw data of unknown shape are not included, whatever a file calls itself.
    private const string AllowedFormats =
        "mov,mp4,m4a,3gp,3g2,mj2,matroska,webm,avi,mpegts,mpeg,mpegvideo,mxf,mxf_d10,mxf_opatom,asf,flv,nut,ogg,gxf,dv,ivf,yuv4mpegpipe,"
        + "h264,hevc,m4v,av1,obu,mjpeg,gif,apng,wtv,rm,nuv,"
        + "wav,w64,aiff,caf,flac,mp3,aac,ac3,eac3,amr,au,dts,tta,wv,ape,"
        + "png_pipe,jpeg_pipe,tiff_pipe,webp_pipe,bmp_pipe,ppm_pipe,pgm_pipe,pam_pipe,exr_pipe,jpegxl_pipe,jpegxl_anim,dpx_pipe,avif";

    /// <summary>The name for messages.</summary>
    public string Name => Path.GetFileName(FullPath) is { Length: > 0 } n ? n : FullPath;

    /// <summary>Whether the content is a single picture.</summary>
    public bool IsStillFile => ForcedFormat is not null;

    /// <summary>The security options and the input itself, as arguments for ffmpeg and ffprobe.</summary>
    /// <param name="before">Input options that come before '-i'.</param>
    public IEnumerable<string> OpenWith(params IEnumerable<string> before) =>
    [
        "-protocol_whitelist", "file,pipe", "-format_whitelist", AllowedFormats,
        .. ForcedFormat is null ? (string[])[] : ["-f", ForcedFormat],
        .. before,
        "-i", "file:" + FullPath,
    ];

    /// <summary>Checks that the path names a readable, non-empty file that is not a playlist.</summary>
    /// <exception cref="UnusableInputException">It does not; the message says why.</exception>
    public static MediaInput Open(string path)
    {
        ArgumentNullException.ThrowIfNull(path);
        if (string.IsNullOrWhiteSpace(path))
        {
            throw new UnusableInputException("A clip's name is empty. Give the path of a media file.");
        }

        if (path.Contains('\0', StringComparison.Ordinal))
        {
            throw new UnusableInputException("A clip's name holds a character that no file name can hold. Give the path of a media file.");
        }

        string full;
        try
        {
            full = Path.GetFullPath(path);
        }
        catch (Exception e) when (e is ArgumentException or IOException or NotSupportedException)
        {
            throw new UnusableInputException($"'{path}' is not a usable path: {e.Message}", e);
        }

        if (Directory.Exists(full))
        {
            throw new UnusableInputException($"'{path}' is a folder. Give the clip inside it.");
        }

        if (!File.Exists(full))
        {
            throw new UnusableInputException(path.Contains("://", StringComparison.Ordinal)
                ? $"'{path}' is an address. Only files on this machine are read: download the clip first."
                : path.Contains('\uFFFD', StringComparison.Ordinal)
                ? $"The name '{path}' contains bytes that are not UTF-8 text, so the file cannot be opened by this name. Rename the file, or its folder, and try again."
                : $"'{path}' does not exist. Check the name and the folder.");
        }

        byte[] head = ReadHead(path, full);
        string? playlist = PlaylistKind(head);
        if (playlist is not null)
        {
            throw new UnusableInputException(
                $"'{path}' is {playlist}: it holds no pictures but points to other files. Give the clips themselves.");
        }

        if (!head.AsSpan().ContainsAnyExcept((byte)0))
        {
            throw new UnusableInputException($"'{path}' begins with nothing but zeros: it is not a media file, or was not copied completely. Copy it again from the camera.");
        }

        if (IsText(head))
        {
            throw new UnusableInputException($"'{path}' is a text file: it is not a media file. Give the clip itself.");
        }

        return new MediaInput(full, StillFormat(head));
    }

    private static byte[] ReadHead(string path, string full)
    {
        try
        {
            // Pipes and devices have the length 0 too: they are never opened.
            if (new FileInfo(full).Length == 0)
            {
                throw new UnusableInputException($"'{path}' is empty (0 bytes). Copy it again from the camera.");
            }

            using FileStream file = new(full, FileMode.Open, FileAccess.Read, FileShare.ReadWrite);
            byte[] head = new byte[4096];
            int n = file.ReadAtLeast(head, head.Length, throwOnEndOfStream: false);
            return head[..n];
        }
        catch (Exception e) when (e is UnauthorizedAccessException)
        {
            throw new UnusableInputException($"'{path}' may not be read. Change its permissions or copy it.", e);
        }
        catch (IOException e)
        {
            throw new UnusableInputException($"'{path}' cannot be read: {e.Message}", e);
        }
    }

    private static string? PlaylistKind(ReadOnlySpan<byte> head)
    {
        string text = Encoding.Latin1.GetString(head).TrimStart('\u00EF', '\u00BB', '\u00BF', ' ', '\t', '\r', '\n');
        bool Begins(string s) => text.StartsWith(s, StringComparison.OrdinalIgnoreCase);
        bool Holds(string s) => text.Contains(s, StringComparison.OrdinalIgnoreCase);
        return Begins("#EXTM3U") || Holds("#EXT-X-") ? "a playlist (HLS or M3U)"
            : Begins("ffconcat version") ? "a list of clips to be joined"
            : Begins("[playlist]") ? "a playlist (PLS)"
            : Begins("v=0") && Holds("\nm=") ? "a session description (SDP)"
            : Begins("<") && (Holds("<MPD") || Holds("<CompositionPlaylist") || Holds("<AssetMap") || Holds("<playlist")
                || Holds("<SmoothStreamingMedia") || Holds("<asx") || Holds("<smil")) ? "a playlist (XML)"
            : (Begins("file ") || Begins("file:")) && text.IndexOf('\n') is > 0 and < 2000 && !Holds("\0") ? "a list of clips to be joined"
            : null;
    }

    // No recording begins with kilobytes of only printable characters.
    private static bool IsText(ReadOnlySpan<byte> head)
    {
        foreach (byte b in head)
        {
            if (b < 32 && b is not ((byte)'\t' or (byte)'\n' or (byte)'\r' or (byte)'\f') || b == 127)
            {
                return false;
            }
        }

        return true;
    }

    /// <summary>
    /// Detects still pictures by their first bytes, so that FFmpeg never treats a name as a pattern of many files.
    /// </summary>
    private static string? StillFormat(ReadOnlySpan<byte> head) =>
        head.StartsWith((ReadOnlySpan<byte>)[0x89, 0x50, 0x4E, 0x47]) ? "png_pipe"
        : head.StartsWith((ReadOnlySpan<byte>)[0xFF, 0xD8, 0xFF]) ? "jpeg_pipe"
        : head.StartsWith("II*\0"u8) || head.StartsWith("MM\0*"u8) ? "tiff_pipe"
        : head.Length > 12 && head.StartsWith("RIFF"u8) && head[8..12].SequenceEqual("WEBP"u8) ? "webp_pipe"
        : head.StartsWith("BM"u8) && head.Length > 30 && head[14] is 12 or 40 or 52 or 56 or 64 or 108 or 124 ? "bmp_pipe"
        : null;
}
