using System.Collections.Immutable;
using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;
using Tonematch.Drift;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Shoot;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench.Shoot;

/// <summary>
/// The evening as files: the sound of <see cref="ShootBench.Made"/>, and pictures that FFmpeg films from a photograph taken
/// from two places (the camera moves a little, sensor noise, H.264). Three lights, in which B's sensor asks for other gains
/// each time; C is a phone whose exposure and white balance wander, and which never runs while A does, but while B does.
/// </summary>
internal static class FilmBench
{
    private const int FramesASecond = 5;

    // Stops of exposure and mired that three lights add to every camera, and what B's sensor makes of them beside.
    private static readonly DriftValue[] s_room = [new(-0.9, 0, 0), new(-0.5, 40, 0), new(-0.8, -30, 0.1)], s_sensor = [new(0, 0, 0), new(0.1, 15, -0.05), new(-0.05, -20, 0.1)];

    /// <param name="seconds">Length of the evening.</param>
    /// <param name="kept">A folder that keeps the clips, and from which they are taken if they are there; null for none.</param>
    public static async Task<int> RunAsync(double seconds, string? kept)
    {
        if (SharedData.Find("photos/fence-left.png") is not { } left || SharedData.Find("photos/fence-right.png") is not { } right)
        {
            Console.Error.WriteLine("The shared photographs are not there: shared/testdata beside the checkout holds them.");
            return 2;
        }

        string folder = kept is null ? Directory.CreateTempSubdirectory("tonematch-evening-").FullName : Directory.CreateDirectory(kept).FullName;
        try
        {
            MadeEvening made = ShootBench.Made(seconds);
            double[] begin = [.. made.Starts.Select(s => s - made.Starts.Min())];
            Stopwatch clock = Stopwatch.StartNew();
            string filmed = Path.Combine(folder, "filmed");
            if (!File.Exists(filmed))
            {
                for (int i = 0; i < made.Clips.Count; i++)
                {
                    Film(folder, made, i, made.Clips[i].Camera == "A" ? left : right, t => Light(made.Clips[i].Camera, begin[i] + t, seconds));
                }
            }

            Console.WriteLine(FormattableString.Invariant($"an evening of {seconds:0} s, {made.Clips.Count} clips, {made.Clips.Sum(c => c.DurationSeconds):0} s of recordings; filmed in {clock.Elapsed.TotalSeconds:0} s"));
            await File.WriteAllTextAsync(filmed, "");
            await MeasureAsync(folder, made);
            return 0;
        }
        finally
        {
            if (kept is null)
            {
                Directory.Delete(folder, recursive: true);
            }
        }
    }

    private static async Task MeasureAsync(string folder, MadeEvening made)
    {
        Progress<StageProgress> silent = new();
        Dictionary<string, (double Seconds, int Times)> spent = [];
        StageClock stages = new((stage, cost) => spent[stage] = (spent.GetValueOrDefault(stage).Seconds + cost.Wall, spent.GetValueOrDefault(stage).Times + 1));
        ImmutableArray<CameraFiles> files = CameraFiles.Read([Path.Combine(folder, "A"), Path.Combine(folder, "B"), Path.Combine(folder, "C")], []);
        Stopwatch clock = Stopwatch.StartNew();
        ShootProbe.Result probed = await ShootProbe.RunAsync(files, silent, CancellationToken.None);
        ShootPlaces places = await ShootSync.RunAsync(probed.Cameras, silent, CancellationToken.None);
        double synced = clock.Elapsed.TotalSeconds;
        ImmutableArray<CameraMatch> matches = await ShootMatch.RunAsync(places, new MatchRequest("", ""), stages, CancellationToken.None);
        stages.End();
        double matched = clock.Elapsed.TotalSeconds;

        double[] errors = [.. Enumerable.Range(0, made.Clips.Count).Select(i => Math.Abs(places.Times.Clips[i].StartSeconds - (made.Starts[i] - made.Starts[0]))).Order()];
        Console.WriteLine(FormattableString.Invariant(
            $"placed {places.Times.Clips.Count(c => c.IsPlaced)} of {made.Clips.Count}, {places.Times.Clips.Count(c => c.IsSure)} called sure, median error {errors[errors.Length / 2] * 1000:0.00} ms, largest {errors[^1] * 1000:0.00} ms"));
        for (int i = 0; i < made.Clips.Count; i++)
        {
            Tonematch.Shoot.PlacedClip clip = places.Times.Clips[i];
            if (!clip.IsSure)
            {
                Console.WriteLine(FormattableString.Invariant($"  {clip.Clip.Name}, {clip.Clip.DurationSeconds:0} s: {clip.Basis}, {clip.Meetings.Length} meetings. {string.Join(" ", clip.Doubts)}"));
            }
        }

        foreach (CameraMatch match in matches)
        {
            string by = match.Through is { } through ? $" through {through}" : "";
            Console.WriteLine(match.Outcome is { } o ? FormattableString.Invariant($"{match.Camera.Name}{by}: mean Delta E {o.Fit.Before.Mean:0.0} before, {o.Chosen.After.Mean:0.0} after ({o.Samples.Method})") : $"{match.Camera.Name}: no correction");
            foreach ((int clip, DriftOutcome drift) in match.Drifts)
            {
                Console.WriteLine(FormattableString.Invariant(
                    $"  {places.Times.Clips[clip].Clip.Name} wanders by {drift.Track.RangeStops:0.00} stop and {drift.Track.RangeMired:0} mired: constant {drift.Gain.ConstantMean:0.0}, following {drift.Gain.FollowingMean:0.0}"));
            }

            if (match.States is { } states)
            {
                Console.WriteLine(FormattableString.Invariant(
                    $"  {states.Corrections.Length} states, changes at {string.Join(", ", states.Stretches.Skip(1).Select(s => s.FromSeconds.ToString("0", CultureInfo.InvariantCulture)))} s: one for all {states.Comparison.OneForAllMean:0.0}, one each {states.Comparison.PerStateMean:0.0}"));
            }

            Console.WriteLine($"  {match.Note}");
        }

        foreach ((string stage, (double seconds, int times)) in spent.OrderByDescending(s => s.Value.Seconds))
        {
            Console.WriteLine(FormattableString.Invariant($"  {seconds,6:0.0} s in {times} times: {stage}"));
        }

        // The longest pair by itself, as two files.
        clock.Restart();
        try
        {
            await MatchJob.MatchAsync(new MatchRequest(places.Clips[0].Path, places.Clips[4].Path), silent, CancellationToken.None);
        }
        catch (NoTrustworthyResultException e)
        {
            Console.WriteLine(e.Message);
        }

        double pair = clock.Elapsed.TotalSeconds;
        Console.WriteLine(FormattableString.Invariant(
            $"one clock {synced:0.0} s, matches {matched - synced:0.0} s; match of the longest pair {pair:0.0} s: {matched / pair:0.0} times; most memory {Process.GetCurrentProcess().PeakWorkingSet64 / 1e6:0} MB (with the evening's own sounds in it)"));
    }

    private static DriftValue Light(string camera, double at, double seconds)
    {
        int light = Math.Min(2, (int)(3 * at / seconds));
        DriftValue sensor = camera == "B" ? s_sensor[light] : DriftValue.None, own = camera == "C" ? new(0.7 * Math.Sin(2 * Math.PI * at / 20), 40 * Math.Sin(2 * Math.PI * at / 31), 0) : DriftValue.None;
        return new(s_room[light].Stops + sensor.Stops + own.Stops, s_room[light].Mired + sensor.Mired + own.Mired, s_room[light].GreenMagenta + sensor.GreenMagenta + own.GreenMagenta);
    }

    // In light: the photograph's own curve undone, the frame's gains, the curve again, and for B and C another look.
    private static void Film(string folder, MadeEvening made, int clip, string photograph, Func<double, DriftValue> light)
    {
        (string name, string camera, double length) = (made.Clips[clip].Name, made.Clips[clip].Camera, made.Clips[clip].DurationSeconds);
        Directory.CreateDirectory(Path.Combine(folder, camera));
        string sound = Path.Combine(folder, name + ".f32"), gains = Path.Combine(folder, name + ".cmd");
        File.WriteAllBytes(sound, MemoryMarshal.AsBytes<float>(made.Sounds[clip].ToArray()).ToArray());
        StringBuilder commands = new();
        for (int n = 0; n < length * FramesASecond; n++)
        {
            (double r, double g, double b) = light((double)n / FramesASecond).ToChannelStops();
            commands.Append(CultureInfo.InvariantCulture, $"{Math.Max(0, ((double)n / FramesASecond) - 0.02):0.000} colorchannelmixer rr {Math.Pow(2, r):0.00000}, colorchannelmixer gg {Math.Pow(2, g):0.00000}, colorchannelmixer bb {Math.Pow(2, b):0.00000};\n");
        }

        File.WriteAllText(gains, commands.ToString());
        string look = camera == "A" ? "" : camera == "B" ? "curves=all='0/0.03 0.5/0.46 1/0.97',colorchannelmixer=rr=0.92:rg=0.05:bb=1.06:gr=0.03:gg=0.97," : "colorchannelmixer=rr=1.05:bb=0.93:bg=0.04,";
        string graph = $"scale=800:450,crop=640:360:x='80+25*sin(2*PI*t/19)':y='45+12*sin(2*PI*t/13)',setparams=color_primaries=bt709:color_trc=bt709:colorspace=gbr:range=pc,"
            + $"format=gbrpf32le,zscale=t=linear,sendcmd=f={gains},colorchannelmixer,zscale=t=709,format=gbrp,{look}noise=alls=3:allf=t,scale=out_color_matrix=bt709:out_range=tv,format=yuv420p,"
            + "setparams=color_primaries=bt709:color_trc=bt709:colorspace=bt709:range=tv";
        using Process ffmpeg = Process.Start(new ProcessStartInfo("ffmpeg",
        [
            "-v", "error", "-y", "-loop", "1", "-framerate", FramesASecond.ToString(CultureInfo.InvariantCulture), "-t", length.ToString("0.######", CultureInfo.InvariantCulture), "-i", photograph,
            "-f", "f32le", "-ar", made.Sounds[clip].SampleRate.ToString(CultureInfo.InvariantCulture), "-ac", "1", "-i", sound,
            "-vf", graph, "-c:v", "libx264", "-preset", "ultrafast", "-crf", "18", "-c:a", "pcm_s16le", Path.Combine(folder, camera, name + ".mkv"),
        ]))!;
        ffmpeg.WaitForExit();
        if (ffmpeg.ExitCode != 0)
        {
            throw new InvalidOperationException($"FFmpeg could not film {name}.");
        }
    }
}
