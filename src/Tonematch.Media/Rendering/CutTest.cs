using System.Globalization;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;
using Tonematch.Sync;

namespace Tonematch.Media.Rendering;

/// <summary>
/// A short clip that cuts between the primary and the corrected secondary at synced instants: a cut shows how good a
/// match is. The primary's sound is used throughout.
/// </summary>
public static class CutTest
{
    // A constant rate factor above that of renders for editing, since a page shows it small.
    private const int PageQuality = 20;

    // Seconds before the start from which frames are decoded: a clip of variable rate may show one frame for long.
    private const double Lead = 5, PageLead = 1;

    /// <summary>Renders a cut test.</summary>
    /// <param name="primary">The primary.</param>
    /// <param name="secondary">The secondary.</param>
    /// <param name="lut">Maps secondary code values to primary-like ones.</param>
    /// <param name="sync">The alignment of the two, including clock drift.</param>
    /// <param name="outputPath">A name that ends with .mp4, .mov or .mkv.</param>
    /// <param name="options">Start, duration and cut interval.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Cancels the work; no file remains.</param>
    /// <exception cref="UnusableInputException">The clips do not overlap in time, or see
    /// <see cref="ClipRenderer.RenderAsync"/>.</exception>
    public static async Task<RenderResult> RenderAsync(
        ClipInfo primary, ClipInfo secondary, Lut3D lut, SyncFound sync, string outputPath, CutTestOptions options,
        IProgress<RenderProgress>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(lut);
        ArgumentNullException.ThrowIfNull(sync);
        ArgumentNullException.ThrowIfNull(options);
        if (primary.IsStillImage || secondary.IsStillImage)
        {
            throw new UnusableInputException("A cut test needs two clips; one of these is a photo.");
        }

        (double start, double duration) = Stretch(primary, secondary, sync, options);
        double secondaryStart = sync.SecondaryTime(start), secondaryPace = 1 + (sync.DriftPpm * 1e-6);
        OutputFormat format = OutputFormat.For(primary, primary.Encoding, RenderCodec.Automatic, options.ForPage ? PageQuality : null, outputPath) with { Hurries = options.ForPage };
        AtomicFile.Check(outputPath, options.Force, primary.Path, secondary.Path);
        (int width, int height) = Size(primary, options.MaxSide);
        Rational rate = primary.FrameRate;
        DriftFeed? drift = options.Drift is { } track ? new DriftFeed(track, secondary, secondaryStart, secondaryPace, rate) : null;
        string correct = (drift is null ? "," : $"[light];{drift.Filters("light", 2)},") + RenderRun.LutFilter;
        string graph =
            $"[0:{primary.StreamIndex}]{Side(primary, start, 1, duration, rate, "", (width, height), format, Turn(options, first: true))}[p];"
            + $"[1:{secondary.StreamIndex}]{Side(secondary, secondaryStart, secondaryPace, duration, rate, correct, (width, height), format, Turn(options, first: false))}[s];"
            + "[p][s]interleave=nb_inputs=2[v]";
        List<string> sound = [];
        if (!primary.AudioTracks.IsEmpty)
        {
            graph += string.Create(
                CultureInfo.InvariantCulture,
                $";[0:a:0]asetpts=PTS-({start + primary.ContainerStartSeconds:0.#########})/TB,aresample=async=1:first_pts=0,atrim=0:{duration:0.######}[a]");
            sound.AddRange(["-map", "[a]", "-c:a", "aac", "-b:a", "192k"]);
        }

        string[] arguments =
        [
            .. Open(primary, start, options), .. Open(secondary, secondaryStart, options), .. drift?.InputArguments() ?? [],
            "-filter_complex", graph, "-map", "[v]", .. sound, "-sn", "-dn", "-map_metadata", "-1",
            .. primary.Ffmpeg.ConstantRate(rate), .. format.EncoderArguments(),
        ];
        ClipInfo written = await RenderRun.RunAsync(
            outputPath, options.Force, [primary.Path, secondary.Path], lut, format, arguments, duration, progress, cancel, drift).ConfigureAwait(false);
        return new RenderResult(written, format.Notes);
    }

    private static (double Start, double Duration) Stretch(ClipInfo primary, ClipInfo secondary, SyncFound sync, CutTestOptions options)
    {
        double from = Math.Max(0, sync.PrimaryTime(0)), to = Math.Min(primary.DurationSeconds, sync.PrimaryTime(secondary.DurationSeconds));
        double duration = Math.Min(options.DurationSeconds, to - from);
        double start = options.StartSeconds ?? from + ((to - from - duration) / 2);
        duration = Math.Min(duration, to - start);
        if (!(duration > options.EverySeconds) || start < from)
        {
            throw new UnusableInputException(string.Create(
                CultureInfo.InvariantCulture,
                $"The clips overlap in time only from {from:0.##} s to {Math.Max(from, to):0.##} s of camera A: too little for a cut test there. Choose another start."));
        }

        return (start, duration);
    }

    // Odd turns show the primary, even turns the secondary; switching a millisecond early, so that rounding affects no
    // frame.
    private static string Turn(CutTestOptions options, bool first) => string.Create(
        CultureInfo.InvariantCulture,
        $"{(first ? "lt" : "gte")}(mod(t+0.001,{2 * options.EverySeconds:0.######}),{options.EverySeconds:0.######})");

    private static IEnumerable<string> Open(ClipInfo clip, double at, CutTestOptions options)
    {
        // Seeks well before; the frames' own times decide what is used. A page waits for every frame that is decoded.
        double seek = at + clip.ContainerStartSeconds - clip.FileStartSeconds - (options.ForPage ? PageLead : Lead);
        return clip.Input.OpenWith(["-copyts", .. seek > 0 ? ["-ss", seek.ToString("0.######", CultureInfo.InvariantCulture)] : (string[])[]]);
    }

    private static string Side(
        ClipInfo clip, double start, double pace, double duration, Rational rate, string correct, (int Width, int Height) size, OutputFormat format, string turn)
    {
        // FFmpeg turns these upright before the first filter, so width and height are the upright ones.
        double scale = Math.Min((double)size.Width / clip.Width, (double)size.Height / clip.Height);
        int width = Math.Max(2, (int)Math.Round(clip.Width * scale / 2) * 2), height = Math.Max(2, (int)Math.Round(clip.Height * scale / 2) * 2);
        string rgb = OutputFormat.ToRgb(clip, width == clip.Width && height == clip.Height ? null : (width, height));
        string pad = (width, height) == size ? "" : string.Create(CultureInfo.InvariantCulture, $",pad={size.Width}:{size.Height}:(ow-iw)/2:(oh-ih)/2");
        string first = string.Create(
            CultureInfo.InvariantCulture,
            $"setpts=(PTS-({start + clip.ContainerStartSeconds:0.#########})/TB)/{pace:0.#########},fps={rate}:start_time=0,trim=0:{duration:0.######},select='{turn}',");
        return first + rgb + correct + "," + format.FromRgb() + pad + ",setsar=1";
    }

    private static (int Width, int Height) Size(ClipInfo clip, int maxSide)
    {
        double scale = Math.Min(1, (double)maxSide / Math.Max(clip.Width, clip.Height));
        return (Math.Max(2, (int)(clip.Width * scale / 2) * 2), Math.Max(2, (int)(clip.Height * scale / 2) * 2));
    }
}
