using System.Globalization;
using System.Runtime.CompilerServices;
using System.Text.RegularExpressions;
using System.Threading.Channels;
using Tonematch.Media.Clips;
using Tonematch.Media.Processes;

namespace Tonematch.Media.Frames;

/// <summary>
/// Decoded frames from one ffmpeg process, in the clip's own pixel format (no colour conversion), each with the
/// presentation time reported by the decoder.
/// </summary>
/// <remarks>
/// The times come from the 'showinfo' filter's lines, as whole ticks with their time base; the pipe itself carries
/// none. The line also states size and format, so a stream that changes in the middle is detected and not misread.
/// </remarks>
internal sealed partial class RawFrames : IAsyncDisposable
{
    private readonly FfmpegProcess _process;
    private readonly Channel<FrameLine> _lines;
    private readonly ClipInfo _clip;
    private readonly PixelLayout _layout;
    private readonly long _frameBytes;

    private RawFrames(
        FfmpegProcess process, Channel<FrameLine> lines, ClipInfo clip, PixelLayout layout,
        int width, int height)
    {
        (_process, _lines, _clip, _layout) = (process, lines, clip, layout);
        (Width, Height, _frameBytes) = (width, height, layout.FrameBytes(width, height));
        Converter = new YcbcrToRgb(
            layout, width, height, clip.Matrix.Code, clip.Range, ChromaX(clip, layout, width), ChromaY(clip, layout, height));
    }

    /// <summary>Width of the frames as stored, after scaling.</summary>
    public int Width { get; }

    /// <summary>Height of the frames as stored, after scaling.</summary>
    public int Height { get; }

    /// <summary>Converts these frames to R'G'B'.</summary>
    public YcbcrToRgb Converter { get; }

    /// <summary>Bytes of one frame.</summary>
    public int FrameBytes => checked((int)_frameBytes);

    /// <summary>A section of the clip and the frames taken from it.</summary>
    /// <param name="InputOptions">Options before the input ('-ss', '-skip_frame', '-threads').</param>
    /// <param name="Select">Filters that choose frames; may be empty.</param>
    internal readonly record struct Stretch(string[] InputOptions, string[] Select);

    /// <summary>Starts decoding.</summary>
    /// <param name="clip">The clip to decode.</param>
    /// <param name="stretches">One, or several that each have an end ('-t'): their frames come one stretch after the other, and are read by <see cref="ReadAllAsync"/>.</param>
    /// <param name="size">Size to scale to by area averaging, as stored; null keeps it.</param>
    /// <param name="frames">The largest number of frames; null for all.</param>
    /// <param name="cancel">Stops decoding.</param>
    /// <param name="lumaOnly">Whether to omit colour: 8 bits of luma per pixel.</param>
    public static RawFrames Start(
        ClipInfo clip, IReadOnlyList<Stretch> stretches, (int Width, int Height)? size, int? frames, CancellationToken cancel, bool lumaOnly = false)
    {
        (PixelLayout layout, string[] unpack) = lumaOnly ? (PixelLayout.Find("gray")!, []) : LayoutOf(clip);
        (int width, int height) = size ?? (clip.StoredWidth, clip.StoredHeight);
        RequireReasonableSize(clip, layout);
        string[] scale = size is null ? [] : [string.Create(CultureInfo.InvariantCulture, $"scale={width}:{height}:flags=area")];
        string[] chains = [.. stretches.Select((s, i) => string.Join(',', [.. s.Select, .. unpack, .. scale, .. lumaOnly ? ["format=gray"] : (string[])[], ShowInfo(i)]))];
        string[] arguments =
        [
            "-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info",
            .. stretches.SelectMany(s => clip.Input.OpenWith(["-noautorotate", "-copyts", .. DecoderOptions(clip), .. s.InputOptions])),
            .. chains.Length > 1
                ? (string[])["-filter_complex", OneAfterTheOther(chains, clip.StreamIndex)]
                : ["-map", string.Create(CultureInfo.InvariantCulture, $"0:{clip.StreamIndex}"), "-an", "-sn", "-dn", "-vf", chains[0]],
            .. clip.Ffmpeg.PassEveryFrame,
            .. frames is { } n ? ["-frames:v", n.ToString(CultureInfo.InvariantCulture)] : (string[])[],
            "-f", "rawvideo", "pipe:1",
        ];
        Channel<FrameLine> lines = Channel.CreateUnbounded<FrameLine>(new UnboundedChannelOptions { SingleReader = true, SingleWriter = true });
        FfmpegProcess process = FfmpegProcess.Start(
            FfmpegTools.Ffmpeg, arguments, Listener(clip, lines.Writer), onEnd: () => lines.Writer.TryComplete(), cancel: cancel);
        try
        {
            return new RawFrames(process, lines, clip, layout, width, height);
        }
        catch (NotSupportedException e)
        {
            process.DisposeAsync().AsTask().Wait(CancellationToken.None);
            throw new UnusableInputException(
                $"'{clip.Path}' stores its colours with the matrix '{clip.Matrix.Name}', which cannot be read here. Convert it to BT.709 or BT.2020 (non-constant luminance) first.", e);
        }
    }

    /// <summary>
    /// Decodes the whole clip and returns only its frames' times, for files without presentation times.
    /// </summary>
    public static async IAsyncEnumerable<FrameLine> ListAsync(ClipInfo clip, [EnumeratorCancellation] CancellationToken cancel)
    {
        Channel<FrameLine> lines = Channel.CreateUnbounded<FrameLine>();
        string[] arguments =
        [
            "-hide_banner", "-nostdin", "-nostats", "-loglevel", "level+info", .. clip.Input.OpenWith("-copyts"),
            "-map", string.Create(CultureInfo.InvariantCulture, $"0:{clip.StreamIndex}"), "-an", "-sn", "-dn",
            "-vf", ShowInfo(0), .. clip.Ffmpeg.PassEveryFrame, "-f", "null", "-",
        ];
        await using FfmpegProcess process = FfmpegProcess.Start(
            FfmpegTools.Ffmpeg, arguments, Listener(clip, lines.Writer), onEnd: () => lines.Writer.TryComplete(), cancel: cancel);
        await foreach (FrameLine line in lines.Reader.ReadAllAsync(cancel).ConfigureAwait(false))
        {
            yield return line;
        }

        if (await process.WaitAsync().ConfigureAwait(false) != 0)
        {
            throw new UnusableInputException(FfmpegMessage.WhyNotDecoded(clip.Path, "The pictures", process.ErrorText));
        }
    }

    /// <summary>
    /// Reads the next frame into the buffer; returns its time on the clip's time line, or null at the end.
    /// </summary>
    /// <exception cref="UnusableInputException">The stream changes its size or format, or the pipe ends inside a frame.</exception>
    public async ValueTask<double?> NextAsync(Memory<byte> buffer, CancellationToken cancel)
    {
        if (!await _lines.Reader.WaitToReadAsync(cancel).ConfigureAwait(false) || !_lines.Reader.TryRead(out FrameLine line))
        {
            return null;
        }

        if (line.Format != _layout.Name || line.Width != Width || line.Height != Height)
        {
            throw new UnusableInputException(string.Create(
                CultureInfo.InvariantCulture,
                $"'{_clip.Path}' changes its picture format partway ({_layout.Name} {Width}x{Height} becomes {line.Format} {line.Width}x{line.Height}). Split it there and use the parts."));
        }

        if (await _process.FillAsync(buffer[..FrameBytes]).ConfigureAwait(false) < FrameBytes)
        {
            // The last line may belong to a frame beyond '-frames:v': not an error.
            return null;
        }

        return line.Seconds;
    }

    /// <summary>
    /// Reads all frames of all stretches; for a few frames only. Empty if a frame has a different format or size.
    /// </summary>
    /// <remarks>
    /// FFmpeg may start a later stretch before an earlier one is done, so its lines are mixed; the frames are not.
    /// </remarks>
    public async Task<(FrameLine Line, byte[] Raw)[]> ReadAllAsync(CancellationToken cancel)
    {
        List<byte[]> raws = [];
        for (byte[] buffer = new byte[FrameBytes]; await _process.FillAsync(buffer).ConfigureAwait(false) == FrameBytes; buffer = new byte[FrameBytes])
        {
            raws.Add(buffer);
        }

        List<FrameLine> lines = [];
        await foreach (FrameLine line in _lines.Reader.ReadAllAsync(cancel).ConfigureAwait(false))
        {
            lines.Add(line);
        }

        return lines.TrueForAll(l => l.Format == _layout.Name && l.Width == Width && l.Height == Height)
            ? [.. lines.OrderBy(l => l.Stretch).Zip(raws)]
            : [];
    }

    /// <summary>Waits for the end; returns FFmpeg's error messages, or null if there were none.</summary>
    public async Task<string?> EndAsync()
    {
        int code = await _process.WaitAsync().ConfigureAwait(false);
        return code == 0 ? null : _process.ErrorText;
    }

    /// <summary>FFmpeg's error messages so far.</summary>
    public string ErrorText => _process.ErrorText;

    /// <inheritdoc/>
    public ValueTask DisposeAsync() => _process.DisposeAsync();

    /// <summary>
    /// The layout in which the decoded frames are read, and the filter that unpacks them into it if they have a
    /// different one.
    /// </summary>
    /// <exception cref="UnusableInputException">No layout holds the same values.</exception>
    internal static (PixelLayout Layout, string[] Unpack) LayoutOf(ClipInfo clip)
    {
        PixelLayout layout = PixelLayout.Find(clip.PixelFormat) ?? throw new UnusableInputException(
            $"'{clip.Path}' stores its pictures in a pixel format ('{clip.PixelFormat}') that cannot be read here. Convert it to a usual one (8 or 10 bit 4:2:0 or 4:2:2) first.");
        return (layout, Unpack(clip.PixelFormat, layout.Name));
    }

    // Palettes and pixels of less than a byte per channel go through rgb24, because FFmpeg would compute when
    // converting directly to planes.
    internal static string[] Unpack(string format, string planar) =>
        format == planar ? []
        : planar == "gbrp" && (format is "pal8" or "rgb8" or "bgr8" || format.Contains('5', StringComparison.Ordinal)) ? ["format=rgb24", "format=gbrp"]
        : [$"format={planar}"];

    private static string ShowInfo(int stretch) => string.Create(CultureInfo.InvariantCulture, $"showinfo@s{stretch}=checksum=0");

    private static string OneAfterTheOther(string[] chains, int stream) => string.Create(CultureInfo.InvariantCulture,
        $"{string.Concat(chains.Select((c, i) => string.Create(CultureInfo.InvariantCulture, $"[{i}:{stream}]{c}[p{i}];")))}{string.Concat(chains.Select((_, i) => $"[p{i}]"))}concat=n={chains.Length}");

    // FFmpeg's fast JPEG transform makes chroma 0.15 to 0.2 codes too low on average (measured in 5.1 against libjpeg's
    // accurate one); the integer transform does not.
    private static string[] DecoderOptions(ClipInfo clip) => clip.Codec == "mjpeg" ? ["-idct", "int"] : [];

    // Checked before allocation: 200 megapixels is above any camera's frame.
    private static void RequireReasonableSize(ClipInfo clip, PixelLayout layout)
    {
        if ((long)clip.StoredWidth * clip.StoredHeight > 200_000_000 || layout.FrameBytes(clip.StoredWidth, clip.StoredHeight) > int.MaxValue)
        {
            throw new UnusableInputException(string.Create(
                CultureInfo.InvariantCulture,
                $"'{clip.Path}' has pictures of {clip.StoredWidth}x{clip.StoredHeight} pixels, more than can be read here (200 megapixels)."));
        }
    }

    /// <summary>Column of the first chroma sample after scaling, in luma columns.</summary>
    /// <remarks>
    /// Averaging k samples moves the centre of a chroma sample towards the centre of its luma samples: chroma sample j
    /// is then at luma column 2j + ((k - 1) / 2 + x0) / k.
    /// </remarks>
    internal static double ChromaX(ClipInfo clip, PixelLayout layout, int width)
    {
        double k = (double)clip.StoredWidth / width;
        return (((k - 1) * ((1 << layout.ChromaShiftX) - 1) / 2) + YcbcrToRgb.ChromaPosition(clip.ChromaLocation, layout).X) / k;
    }

    /// <summary>The same for rows.</summary>
    internal static double ChromaY(ClipInfo clip, PixelLayout layout, int height)
    {
        double k = (double)clip.StoredHeight / height;
        return (((k - 1) * ((1 << layout.ChromaShiftY) - 1) / 2) + YcbcrToRgb.ChromaPosition(clip.ChromaLocation, layout).Y) / k;
    }

    private static Action<string> Listener(ClipInfo clip, ChannelWriter<FrameLine> frames)
    {
        double timeBase = clip.TimeBase.Value;
        return line =>
        {
            if (!line.Contains("showinfo", StringComparison.Ordinal))
            {
                return;
            }

            if (FramePattern().Match(line) is { Success: true } m)
            {
                frames.TryWrite(new FrameLine(
                    (long.Parse(m.Groups[2].ValueSpan, CultureInfo.InvariantCulture) * timeBase) - clip.ContainerStartSeconds,
                    m.Groups[3].Value,
                    int.Parse(m.Groups[4].ValueSpan, CultureInfo.InvariantCulture),
                    int.Parse(m.Groups[5].ValueSpan, CultureInfo.InvariantCulture),
                    m.Groups[6].ValueSpan is "1",
                    int.Parse(m.Groups[1].ValueSpan, CultureInfo.InvariantCulture)));
            }
            else if (TimeBasePattern().Match(line) is { Success: true } t && Rational.Parse(t.Groups[1].Value) is { } found)
            {
                timeBase = found.Value;
            }
        };
    }

    [GeneratedRegex(@"\bshowinfo@s(\d+) .*\bn:\s*\d+ pts:\s*(-?\d+) .*\bfmt:(\S+) .*\bs:(\d+)x(\d+) .*\biskey:(\d)")]
    private static partial Regex FramePattern();

    [GeneratedRegex(@"config in time_base: (\d+/\d+)")]
    private static partial Regex TimeBasePattern();
}
