using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Media.Clips;

namespace Tonematch.Media.Rendering;

/// <summary>The picture format of a file to be written.</summary>
internal sealed record OutputFormat
{
    public required string Muxer { get; init; }

    public required RenderCodec Codec { get; init; }

    public required int Quality { get; init; }

    public required string PixelFormat { get; init; }

    public required SignalRange Range { get; init; }

    public required int Matrix { get; init; }

    public required int Primaries { get; init; }

    public required int Transfer { get; init; }

    public required ChromaLocation ChromaLocation { get; init; }

    public required ImmutableArray<string> Notes { get; init; }

    /// <summary>Whether the clip's HDR metadata is invalid for the result and must be left out.</summary>
    public bool LeavesOutFigures { get; init; }

    /// <summary>Whether the encoder favours speed: a few kilobytes more in half the time.</summary>
    public bool Hurries { get; init; }

    /// <summary>HDR metadata that the encoder writes into the result; null for none.</summary>
    public MasteringFigures? Mastering { get; init; }

    /// <summary>Chooses the format for a clip.</summary>
    public static OutputFormat For(ClipInfo clip, SignalEncoding encoding, RenderCodec codec, int? quality, string outputPath)
    {
        List<string> notes = [];
        string muxer = Path.GetExtension(outputPath).ToUpperInvariant() switch
        {
            ".MP4" or ".M4V" => "mp4",
            ".MOV" => "mov",
            ".MKV" => "matroska",
            _ => throw new UnusableInputException($"'{outputPath}': a clip is written as .mp4, .mov or .mkv. Give a name that ends so."),
        };
        if (codec == RenderCodec.Automatic)
        {
            codec = clip.BitDepth > 8 ? RenderCodec.H265 : RenderCodec.H264;
        }

        if (codec == RenderCodec.ProRes && muxer != "mov")
        {
            throw new UnusableInputException($"'{outputPath}': ProRes is written into .mov files only. Give a name that ends so.");
        }

        int bits = codec == RenderCodec.H264 ? 8 : codec == RenderCodec.ProRes || clip.BitDepth > 8 ? 10 : 8;
        if (bits < clip.BitDepth && clip.BitDepth != 32)
        {
            notes.Add(string.Create(CultureInfo.InvariantCulture, $"The clip has {clip.BitDepth} bits per component, the result {bits} (dithered)."));
        }

        string chroma = codec == RenderCodec.ProRes ? "422" : clip.ChromaSubsampling switch
        {
            "4:2:2" => "422",
            "4:4:4" => "444",
            _ => "420",
        };
        bool fromRgb = clip.Matrix.Code == 0;
        if (fromRgb && codec != RenderCodec.ProRes)
        {
            notes.Add("The clip holds R'G'B'; the result is Y'CbCr 4:2:0, which players expect.");
        }

        (int primaries, int transfer, int matrix) = TagsOf(encoding);
        bool keeps = encoding == clip.Encoding;
        if (encoding.IsLog)
        {
            notes.Add($"No colour tag of video says {encoding.Title}: the result's tags leave it open. Name it where you load the clip.");
            keeps = false;
        }

        // Full-range RGB becomes the usual limited Y'CbCr; everything else stays unchanged.
        return new OutputFormat
        {
            Muxer = muxer,
            Codec = codec,
            Quality = quality ?? (codec == RenderCodec.H265 ? 18 : 16),
            PixelFormat = $"yuv{chroma}p{(bits == 10 ? "10le" : "")}",
            Range = fromRgb || codec == RenderCodec.ProRes ? SignalRange.Limited : clip.Range,
            Matrix = keeps && !fromRgb ? clip.Matrix.Code : matrix,
            Primaries = keeps && clip.Primaries is { } p ? p.Code : primaries,
            Transfer = keeps && clip.Transfer is { } t ? t.Code : transfer,
            ChromaLocation = fromRgb ? ChromaLocation.Left : clip.ChromaLocation,
            Notes = [.. notes],
        };
    }

    /// <summary>Options of the encoder, including the colour tags.</summary>
    public IEnumerable<string> EncoderArguments()
    {
        string crf = Quality.ToString(CultureInfo.InvariantCulture), preset = Hurries ? "veryfast" : "medium";
        string[] codec = Codec switch
        {
            RenderCodec.H264 => ["-c:v", "libx264", "-preset", preset, "-crf", crf],
            RenderCodec.H265 =>
                ["-c:v", "libx265", "-preset", preset, "-crf", crf, "-x265-params", X265Parameters(), .. Muxer == "matroska" ? (string[])[] : ["-tag:v", "hvc1"]],
            _ => ["-c:v", "prores_ks", "-profile:v", "hq", "-vendor", "apl0"],
        };
        return
        [
            .. codec, "-pix_fmt", PixelFormat,
            "-color_range", Range == SignalRange.Full ? "pc" : "tv",
            "-colorspace", Number(Matrix), "-color_primaries", Number(Primaries), "-color_trc", Number(Transfer),
            // FFmpeg counts these from 1; the order is that of H.273.
            "-chroma_sample_location", Number((int)ChromaLocation + 1),
        ];
    }

    /// <summary>The filter that makes this format from float R'G'B', with ordered dither against banding.</summary>
    public string FromRgb() => string.Create(
        CultureInfo.InvariantCulture,
        $"zscale=matrixin=0:rangein=full:matrix={Matrix}:range={RangeWord(Range)}:chromal={(int)ChromaLocation}:dither=ordered,format={PixelFormat},{TagFrames()}");

    /// <summary>
    /// The filter that makes frames black by their codes: 16 of 8 bit in limited range, 0 in full range (H.273, 8.3). FFmpeg's
    /// own black is 16 in both.
    /// </summary>
    /// <param name="when">FFmpeg's expression of the frame's number 'n'; other frames stay unchanged.</param>
    public string Black(string when)
    {
        int scale = PixelFormat.Contains("10", StringComparison.Ordinal) ? 4 : 1;
        return string.Create(CultureInfo.InvariantCulture, $"lutyuv=y={(Range == SignalRange.Full ? 0 : 16 * scale)}:u={128 * scale}:v={128 * scale}:enable='{when}'");
    }

    /// <summary>
    /// The filters that tag every frame: from FFmpeg 7 on, the encoder uses the frames' tags and not its options, and
    /// passes on HDR metadata in them.
    /// </summary>
    public string TagFrames() => string.Create(
        CultureInfo.InvariantCulture,
        $"setparams=range={(Range == SignalRange.Full ? "pc" : "tv")}:color_primaries={Primaries}:color_trc={Transfer}:colorspace={Matrix}{(LeavesOutFigures ? ",sidedata=mode=delete:type=MASTERING_DISPLAY_METADATA,sidedata=mode=delete:type=CONTENT_LIGHT_LEVEL" : "")}");

    /// <summary>The filters that convert a clip to float R'G'B', at another size if one is given.</summary>
    public static string ToRgb(ClipInfo clip, (int Width, int Height)? size = null)
    {
        (_, string[] unpack) = Frames.RawFrames.LayoutOf(clip);
        // Half chroma samples do not exist: odd sides lose their last column or row.
        string even = clip.StoredWidth % 2 == 1 || clip.StoredHeight % 2 == 1 ? "crop=trunc(iw/2)*2:trunc(ih/2)*2:0:0," : "";
        string scale = size is { } s ? string.Create(CultureInfo.InvariantCulture, $":w={s.Width}:h={s.Height}:filter=bicubic") : "";
        string chroma = clip.Matrix.Code == 0 ? "" : string.Create(CultureInfo.InvariantCulture, $":chromalin={(int)clip.ChromaLocation}");
        return string.Concat(unpack.Select(u => u + ",")) + even + string.Create(
            CultureInfo.InvariantCulture,
            $"zscale=matrixin={clip.Matrix.Code}:rangein={RangeWord(clip.Range)}{chroma}:matrix=0:range=full{scale},format=gbrpf32le");
    }

    /// <summary>The format with the clip's HDR metadata, if it is still valid and the encoder supports it.</summary>
    public OutputFormat With(MasteringFigures? figures) => figures is null ? this
        : Transfer is not (H273.TransferPq or H273.TransferHlg) ? this with { LeavesOutFigures = true, Notes = Notes.Add("The clip's HDR figures (mastering display, content light) do not hold for the result, which is not HDR: they are left out.") }
        : Codec == RenderCodec.H265 ? this with { Mastering = figures }
        : this;

    private string X265Parameters() => "log-level=error"
        + (Mastering?.Display is { } display ? $":master-display={display}" : "")
        + (Mastering?.LightLevel is { } light ? $":max-cll={light}" : "");

    private static string RangeWord(SignalRange range) => range == SignalRange.Full ? "full" : "limited";

    private static string Number(int code) => code.ToString(CultureInfo.InvariantCulture);

    private static (int Primaries, int Transfer, int Matrix) TagsOf(SignalEncoding encoding) => encoding.Name switch
    {
        "srgb" => (1, H273.TransferSrgb, 1),
        "display-p3" => (H273.PrimariesP3D65, H273.TransferSrgb, 1),
        "bt2020" => (H273.PrimariesBt2020, 14, 9),
        "hlg" => (H273.PrimariesBt2020, H273.TransferHlg, 9),
        "pq" => (H273.PrimariesBt2020, H273.TransferPq, 9),
        // No code of H.273 says ACEScct: unspecified.
        "acescct" => (2, 2, 1),
        _ => (1, 1, 1),
    };
}
