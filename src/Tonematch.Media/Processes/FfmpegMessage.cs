namespace Tonematch.Media.Processes;

/// <summary>Turns FFmpeg's messages into one sentence for the user.</summary>
internal static class FfmpegMessage
{
    private static readonly (string Part, string Sentence)[] s_causes =
    [
        ("moov atom not found", "is cut off: the recording was not finished or not copied completely. Copy it again from the camera, or repair it with the camera"),
        ("Format not on whitelist", "is of a kind that points to other files, or is not a recording. Give the clip itself"),
        ("not on whitelist", "points to another file or to the network. Give the clip itself"),
        ("Permission denied", "may not be read. Change its permissions or copy it"),
        ("No such file", "does not exist. Check the name and the folder"),
        ("encrypted", "is copy-protected (encrypted). Use an unprotected recording"),
        ("No space left", "could not be written: the disk is full. Free some space and try again"),
        ("Cannot allocate memory", "needs more memory than there is"),
        ("Decoder (codec", "uses a codec this FFmpeg cannot decode. Install a more complete FFmpeg or convert the clip"),
        ("Could not find codec parameters", "holds a stream without any decodable picture. The file may be cut off: copy it again from the camera"),
        ("Changing audio frame properties", "changes the rate or the channels of its sound partway, so the timing of the sound after that is uncertain. Convert its sound to one rate, or give the offset by hand"),
        ("Invalid data found", "is not a media file, or is damaged at its beginning. Copy it again from the camera"),
    ];

    public static string WhyNotOpened(string path, string errors)
    {
        foreach ((string part, string sentence) in s_causes)
        {
            if (errors.Contains(part, StringComparison.OrdinalIgnoreCase))
            {
                return $"'{path}' {sentence}.";
            }
        }

        return $"'{path}' cannot be opened as a media file{Detail(errors)}. Is it a clip or a photo, and was it copied completely?";
    }

    public static string WhyNotWritten(string path, string errors)
    {
        (string Part, string Sentence)[] causes =
        [
            ("No space left", "could not be written: the disk is full. Free some space and try again"),
            ("Unknown encoder", "could not be written: this FFmpeg lacks the encoder. Install a more complete FFmpeg, or choose another codec"),
            ("No such filter", "could not be written: this FFmpeg lacks the filter 'zscale' (zimg). Install a more complete FFmpeg"),
            ("Permission denied", "may not be written. Choose another folder, or change its permissions"),
        ];
        foreach ((string part, string sentence) in causes)
        {
            if (errors.Contains(part, StringComparison.OrdinalIgnoreCase))
            {
                return $"'{path}' {sentence}.";
            }
        }

        return $"'{path}' could not be written{Detail(errors)}.";
    }

    public static string WhyNotDecoded(string path, string what, string errors)
    {
        foreach ((string part, string sentence) in s_causes)
        {
            if (errors.Contains(part, StringComparison.OrdinalIgnoreCase) && !part.StartsWith("Invalid data", StringComparison.Ordinal))
            {
                return $"'{path}' {sentence}.";
            }
        }

        return $"{what} of '{path}' cannot be decoded{Detail(errors)}. The file may be damaged: copy it again from the camera.";
    }

    private static string Detail(string errors)
    {
        string? last = errors.Split('\n').LastOrDefault(l => l.Trim().Length > 0)?.Trim();
        if (last is null)
        {
            return "";
        }

        // '[h264 @ 0x55...] [error] text': the brackets are meaningless to the reader, and a path would appear twice.
        while (last.StartsWith('[') && last.IndexOf(']', StringComparison.Ordinal) is > 0 and int end)
        {
            last = last[(end + 1)..].TrimStart();
        }

        int colon = last.LastIndexOf(": ", StringComparison.Ordinal);
        if (last.StartsWith("file:", StringComparison.Ordinal) && colon > 0)
        {
            last = last[(colon + 2)..];
        }

        return last.Length is 0 or > 200 ? "" : $" (FFmpeg says: {last.TrimEnd('.')})";
    }
}
