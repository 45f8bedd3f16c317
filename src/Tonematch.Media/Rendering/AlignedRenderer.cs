using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Luts.Tables;
using Tonematch.Media.Clips;
using Tonematch.Media.Files;

namespace Tonematch.Media.Rendering;

/// <summary>
/// Writes a corrected clip that begins and ends with a timeline, at the timeline's frame rate and pace: every clip
/// written this way can be placed at zero. Where the camera was off, the picture is black and the sound silent.
/// </summary>
public static class AlignedRenderer
{
    private const int SoundRate = 48000;

    // Smaller clock drift over the whole clip is ignored.
    private const double HeardApartSeconds = 0.002;

    /// <summary>Renders a clip onto a timeline.</summary>
    /// <param name="lut">Maps the clip's code values to corrected ones.</param>
    /// <param name="outputPath">A name that ends with .mp4, .mov or .mkv.</param>
    /// <param name="aligned">The clip's place, and whose sound is used.</param>
    /// <param name="options">Codec, quality, drift. Side by side is not supported here.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Cancels the work; no file remains.</param>
    /// <exception cref="UnusableInputException">The clip is outside the timeline, or see <see cref="ClipRenderer.RenderAsync"/>.</exception>
    public static async Task<RenderResult> RenderAsync(
        Lut3D lut, string outputPath, AlignedOptions aligned, RenderOptions options, IProgress<RenderProgress>? progress = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(lut);
        ArgumentNullException.ThrowIfNull(aligned);
        ArgumentNullException.ThrowIfNull(options);
        ClipInfo clip = aligned.Place.Clip;
        ClipRenderer.RequireClip(clip);
        OutputFormat format = OutputFormat.For(clip, options.OutputEncoding ?? clip.Encoding, options.Codec, options.Quality, outputPath)
            .With(await MasteringFigures.ReadAsync(clip, cancel).ConfigureAwait(false));
        ClipInfo[] inputs = [clip, .. aligned.SoundFrom.Select(s => s.Clip)];
        AtomicFile.Check(outputPath, options.Force, [.. inputs.Select(i => i.Path)]);
        DriftFeed? drift = options.Drift is { } track ? new DriftFeed(track, clip) : null;
        List<string> graph = [Pictures(aligned, format, drift, inputs.Length, options.States)];
        List<string> maps = ["-map", "[v]"];
        int tracks = 0;
        if (!aligned.SoundFrom.IsEmpty)
        {
            graph.Add(Sounds(aligned, [.. aligned.SoundFrom.Select((s, i) => (s, i + 1))], "first"));
            maps.AddRange(["-map", "[first]"]);
            tracks++;
        }

        if (clip.AudioTracks.Any(t => t.IsReadable))
        {
            graph.Add(Sounds(aligned, [(aligned.Place, 0)], "own"));
            maps.AddRange(["-map", "[own]"]);
            tracks++;
        }

        double seconds = aligned.Frames / aligned.FrameRate.Value;
        string[] arguments =
        [
            .. inputs.SelectMany(i => i.Input.OpenWith()), .. drift?.InputArguments() ?? [],
            "-filter_complex", string.Join(';', graph), .. maps, .. tracks > 0 ? SoundCodec(format.Muxer) : [],
            "-sn", "-dn", "-map_metadata", "0", "-map_chapters", "-1",
            .. clip.Ffmpeg.ConstantRate(aligned.FrameRate), .. format.EncoderArguments(),
        ];
        ClipInfo written = await RenderRun.RunAsync(
            outputPath, options.Force, [.. inputs.Select(i => i.Path)], lut, format, arguments, seconds, progress, cancel, drift, options.States).ConfigureAwait(false);
        return new RenderResult(written, format.Notes);
    }

    private static string Pictures(AlignedOptions aligned, OutputFormat format, DriftFeed? drift, int tables, ImmutableArray<TimedLut> states)
    {
        (ClipInfo clip, double start, double ppm) = aligned.Place;
        double rate = aligned.FrameRate.Value, pace = 1 + (ppm * 1e-6), end = start + (clip.DurationSeconds / pace);

        // The frames of the timeline during which the camera ran.
        long first = Math.Max(0, (long)Math.Ceiling((start * rate) - 0.01)), last = Math.Min(aligned.Frames, (long)Math.Ceiling((end * rate) - 0.01));
        if (last <= first)
        {
            throw new UnusableInputException(string.Create(
                CultureInfo.InvariantCulture,
                $"'{clip.Path}' does not run during the timeline (0 to {aligned.Frames / rate:0.##} s): it begins at {start:0.##} s. Render it without --aligned."));
        }

        double lead = clip.ContainerStartSeconds - clip.FileStartSeconds, from = start - (first / rate);
        string rgb = OutputFormat.ToRgb(clip);
        string corrected = drift is null ? $"[0:{clip.StreamIndex}]{rgb}" : $"[0:{clip.StreamIndex}]{rgb}[light];{drift.Filters("light", tables)}";

        // Filters that depend on the clip's own time come before that time is replaced.
        (string early, string late) = states.IsEmpty ? ("", RenderRun.LutFilter + ",") : ("," + RenderRun.LutFilters(states, lead), "");
        return corrected + early + string.Create(
            CultureInfo.InvariantCulture,
            $",settb=AVTB,setpts=((PTS*TB-{lead:0.#########})/{pace:0.#########}+({from:0.#########}))/TB,fps={aligned.FrameRate}:start_time=0,"
            + $"tpad=stop=-1:stop_mode=clone,trim=end_frame={last - first},{late}{format.FromRgb()},"
            + $"tpad=start={first}:stop={aligned.Frames - last}:start_mode=clone:stop_mode=clone,{format.Black(string.Create(CultureInfo.InvariantCulture, $"lt(n,{first})+gte(n,{last})"))},settb={aligned.FrameRate.Denominator}/{aligned.FrameRate.Numerator},setpts=N,setsar=1,{format.TagFrames()}[v]");
    }

    // Each sound on the timeline's clock, with the timeline's length, added up.
    private static string Sounds(AlignedOptions aligned, (AlignedPlace Place, int Input)[] places, string label)
    {
        long samples = (long)Math.Round(aligned.Frames / aligned.FrameRate.Value * SoundRate);
        (AlignedPlace Place, int Input)[] heard = [.. places.Where(p => p.Place.Clip.AudioTracks.Any(t => t.IsReadable))];
        if (heard.Length == 0)
        {
            return string.Create(CultureInfo.InvariantCulture, $"anullsrc=r={SoundRate}:cl=stereo,atrim=end_sample={samples}[{label}]");
        }

        List<string> parts = [];
        foreach ((AlignedPlace place, int input) in heard)
        {
            (ClipInfo clip, double start, double ppm) = place;
            double pace = 1 + (ppm * 1e-6), lead = clip.ContainerStartSeconds - clip.FileStartSeconds;

            // Preceding silence as a delay in whole samples, which leaves less than one sample to the resampler.
            long delay = Math.Max(0, (long)Math.Floor(start * SoundRate));
            double rest = start - ((double)delay / SoundRate);
            int track = clip.AudioTracks.First(t => t.IsReadable).Index;
            string paced = "";
            if (Math.Abs(ppm) * 1e-6 * clip.DurationSeconds > HeardApartSeconds)
            {
                // Resampled to one rate and declared as another, with the ratio of the two clocks.
                (int made, int called) = Rates(pace);
                paced = string.Create(CultureInfo.InvariantCulture, $"asetpts=PTS-{lead:0.#########}/TB,aresample={made}:async=1:first_pts=0,asetrate={called},asetpts=N/SR/TB,");
                lead = 0;
            }

            parts.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"[{input}:a:{track}]{paced}asetpts=PTS+({rest - lead:0.#########})/TB,aresample={SoundRate}:async=1:first_pts=0,"
                + $"aformat=channel_layouts=stereo,adelay={delay}S:all=1,apad=whole_len={samples},atrim=end_sample={samples}[{label}{input}]"));
        }

        string mix = heard.Length == 1
            ? string.Create(CultureInfo.InvariantCulture, $"[{label}{heard[0].Input}]anull[{label}]")
            : string.Concat(heard.Select(h => string.Create(CultureInfo.InvariantCulture, $"[{label}{h.Input}]"))) + string.Create(CultureInfo.InvariantCulture, $"amix=inputs={heard.Length}:normalize=0[{label}]");
        return string.Join(';', [.. parts, mix]);
    }

    // Two integer rates near 96 kHz whose ratio approximates the pace to better than one in 10^8.
    private static (int Made, int Called) Rates(double pace) => Enumerable.Range(2 * SoundRate, SoundRate)
        .Select(called => (Made: (int)Math.Round(called / pace), Called: called))
        .MinBy(r => Math.Abs(((double)r.Made / r.Called) - (1 / pace)));

    private static string[] SoundCodec(string muxer) => muxer switch
    {
        "mp4" => ["-c:a", "aac", "-b:a", "256k"],
        "mov" => ["-c:a", "pcm_s24le"],
        _ => ["-c:a", "flac"],
    };
}
