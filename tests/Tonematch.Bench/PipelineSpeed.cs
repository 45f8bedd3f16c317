using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Stages;
using Tonematch.Media.Clips;
using Tonematch.Sync;
using Tonematch.Testing;
using Tonematch.Testing.Sounds;

namespace Tonematch.Bench;

/// <summary>
/// The whole program on made clips, beside what FFmpeg alone needs for the same files in the same run: wall time,
/// processor time of all processes, and the most memory all of them held together.
/// </summary>
internal static class PipelineSpeed
{
    private const double OffsetSeconds = -17.36;
    private const string Street = "/usr/share/doc/opencv-doc/examples/data/vtest.avi";

    // Another camera's look, in R'G'B'.
    private const string OtherCamera = "zscale=matrixin=709:rangein=limited:matrix=gbr:range=full,format=gbrp16le,"
        + "colorchannelmixer=.9:.08:.02:0:.03:.85:.05:0:.02:.1:.8,curves=all='0/0.04 .5/.55 1/.97',"
        + "zscale=matrixin=gbr:rangein=full:matrix=709:range=limited,format=yuv420p";

    /// <summary>
    /// Runs: <c>speed-pipeline PROGRAM FOLDER [--plot FILE.svg] MINUTES:HEIGHT[:every-frame] ...</c>; clips in FOLDER are
    /// used again.
    /// </summary>
    public static int Run(string[] arguments)
    {
        if (arguments.Length < 3 || !File.Exists(Street))
        {
            Console.Error.WriteLine("speed-pipeline PROGRAM FOLDER MINUTES:HEIGHT[:every-frame] ... (needs Debian's opencv-doc for its street scene).");
            return 2;
        }

        (string program, string folder) = (Path.GetFullPath(arguments[0]), Path.GetFullPath(arguments[1]));
        string? plot = arguments[2] == "--plot" ? arguments[3] : null;
        Directory.CreateDirectory(folder);
        Console.WriteLine("| clips | what | wall s | processor s | most memory MB | wall / floor |");
        Console.WriteLine("|---|---|---|---|---|---|");
        List<(double Minutes, int Height, string What, double Seconds)> all = [];
        foreach (string wanted in arguments[(plot is null ? 2 : 4)..])
        {
            string[] parts = wanted.Split(':');
            (double minutes, int height) = (double.Parse(parts[0], CultureInfo.InvariantCulture), int.Parse(parts[1], CultureInfo.InvariantCulture));
            all.AddRange(Measure(program, folder, minutes, height, parts.Length > 2).Select(m => (minutes, height, m.What, m.Wall)));
        }

        Row("-", "start of the program ('--version'), best of 10", Enumerable.Range(0, 10).Select(_ => Side([[program, "--version"]])).MinBy(c => c.Wall), null);
        if (plot is not null)
        {
            Draw(all, plot);
        }

        return 0;
    }

    private static void Draw(List<(double Minutes, int Height, string What, double Seconds)> all, string path)
    {
        string[] what = ["match", "check", "--every-frame", "decoding"];
        CostPlot plot = new();
        plot.Add("by length, 1080p", "minutes of clip", what.Select(w => (w, all.Where(m => m.Height == 1080 && m.What == w).OrderBy(m => m.Minutes).Select(m => (m.Minutes, m.Seconds)).ToList())));
        foreach (double minutes in all.Where(m => m.Height != 1080).Select(m => m.Minutes).Distinct())
        {
            plot.Add(string.Create(CultureInfo.InvariantCulture, $"by size, {minutes:0.##} min"), "million pixels a frame", what.Select(w => (w, all.Where(m => m.Minutes == minutes && m.What == w)
                .OrderBy(m => m.Height).Select(m => (m.Height * m.Height * 16 / 9 / 1e6, m.Seconds)).ToList())));
        }

        plot.Write(path);
    }

    private static List<(string What, double Wall)> Measure(string program, string folder, double minutes, int height, bool everyFrame)
    {
        string name = string.Create(CultureInfo.InvariantCulture, $"{minutes:0.##} min {height}p");
        string a = Clip(folder, minutes, height, secondary: false), b = Clip(folder, minutes, height, secondary: true);
        string outFolder = Path.Combine(folder, "out");
        Cost sound = Side([.. new[] { a, b }.Select(c => new[] { "ffmpeg", "-v", "error", "-nostdin", "-vn", "-sn", "-dn", "-i", c, "-ac", "1", "-ar", "16000", "-f", "f32le", "-y", "/dev/null" })]);
        Cost frames = Grabs(a, b);
        Row(name, "floor: FFmpeg decodes both sound tracks", sound, null);
        Row(name, "floor: FFmpeg takes the frames that match takes", frames, null);
        Cost match = Side([[program, "match", a, b, "--out", outFolder, "--force"]]);
        Row(name, "match", match, sound.Wall + frames.Wall);
        List<(string, double)> measured = [("match", match.Wall)];
        string cube = Path.Combine(outFolder, "correction.cube");
        string offset = string.Create(CultureInfo.InvariantCulture, $"{OffsetSeconds}");
        Cost check = Side([[program, "check", a, b, "--correction", cube]]);
        Row(name, "check", check, null);
        measured.Add(("check", check.Wall));
        if (everyFrame)
        {
            Cost decode = Side([.. new[] { a, b }.Select(c => new[] { "ffmpeg", "-v", "error", "-nostdin", "-i", c, "-an", "-f", "null", "-" })]);
            Row(name, "floor: FFmpeg decodes both pictures", decode, null);
            Cost every = Side([[program, "check", a, b, "--correction", cube, "--every-frame", "--offset", offset]]);
            Row(name, "check --every-frame (offset given)", every, decode.Wall);
            measured.AddRange([("--every-frame", every.Wall), ("decoding", decode.Wall)]);
        }

        return measured;
    }

    // The same instants, a process each, two at a time: the cheapest that was found for FFmpeg alone.
    private static Cost Grabs(string a, string b)
    {
        ClipInfo p = ClipProbe.ProbeAsync(a).GetAwaiter().GetResult(), s = ClipProbe.ProbeAsync(b).GetAwaiter().GetResult();
        SyncFound sync = SyncFound.Given(OffsetSeconds);
        SyncedClips clips = new(p, s, sync);
        (double from, double to) = clips.Overlap();
        List<string[]> grabs = [];
        foreach (double t in QuickInstants.ChooseAsync(clips, from, to, (int)Math.Clamp(to - from, 8, 12), CancellationToken.None).GetAwaiter().GetResult())
        {
            grabs.Add(Grab(a, t));
            grabs.Add(Grab(b, Math.Max(0, sync.SecondaryTime(t))));
        }

        return Side(grabs);
    }

    private static string[] Grab(string clip, double seconds) =>
        ["ffmpeg", "-v", "error", "-nostdin", "-threads", "1", "-ss", seconds.ToString("0.######", CultureInfo.InvariantCulture), "-i", clip, "-an", "-frames:v", "1", "-f", "null", "-"];

    // A minute (of the largest pictures a third of it) is encoded and repeated without encoding; the sound is made for the whole length and never repeats. The stretch begins again, so the secondary's begins in its middle.
    private static string Clip(string folder, double minutes, int height, bool secondary)
    {
        string side = secondary ? "b" : "a";
        string clip = Path.Combine(folder, string.Create(CultureInfo.InvariantCulture, $"{side}-{minutes:0.##}-{height}.mp4"));
        if (File.Exists(clip))
        {
            return clip;
        }

        int repeated = height > 1080 ? 20 : 60;
        string stretch = Path.Combine(folder, $"{side}-{height}.mp4"), raw = Path.Combine(folder, "sound.f32");
        if (!File.Exists(stretch))
        {
            int width = height * 16 / 9;
            string noise = "noise=alls=5:allf=t,setsar=1," + FfmpegSpelling.TagsBt709;
            string view = secondary
                ? FormattableString.Invariant($"[0:v]fps=25,crop=640:360:60:100,scale={width}:{height},format=yuv420p,split[p][q];[p]trim=start={-OffsetSeconds},setpts=PTS-STARTPTS[r];[q]trim=end={-OffsetSeconds},setpts=PTS-STARTPTS[s];[r][s]concat=n=2:v=1,{OtherCamera},{noise}")
                : $"[0:v]fps=25,crop=768:432:0:72,scale={width}:{height},format=yuv420p,{noise}";
            Ffmpeg("-i", Street, "-t", repeated.ToString(CultureInfo.InvariantCulture), "-an", "-filter_complex", view, "-c:v", "libx264", "-preset", "veryfast", "-b:v", $"{8 * height * height / 1166400}M", "-g", "50", stretch);
        }

        if (!File.Exists(raw))
        {
            float[] sound = MadeSound.Mix(MadeSound.Speech(16000, 3620, 5), MadeSound.RandomClaps(16000, 3620, 20, 6), 0.5);
            float largest = sound.Max(Math.Abs);
            File.WriteAllBytes(raw, MemoryMarshal.AsBytes<float>([.. sound.Select(v => v / largest * 0.9f)]).ToArray());
        }

        string start = secondary ? (-OffsetSeconds).ToString(CultureInfo.InvariantCulture) : "0";
        string length = (minutes * 60).ToString(CultureInfo.InvariantCulture);
        Ffmpeg("-stream_loop", ((int)Math.Ceiling(minutes * 60 / repeated)).ToString(CultureInfo.InvariantCulture), "-i", stretch, "-ss", start, "-f", "f32le", "-ar", "16000", "-ac", "1", "-i", raw, "-t", length,
            "-map", "0:v", "-map", "1:a", "-c:v", "copy", "-c:a", "aac", "-ar", "48000", "-b:a", "128k", clip);
        return clip;
    }

    private static void Ffmpeg(params string[] arguments)
    {
        using Process process = Process.Start("ffmpeg", ["-v", "error", "-nostdin", "-y", .. arguments]);
        process.WaitForExit();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException($"FFmpeg failed: {string.Join(' ', arguments)}");
        }
    }

    // Commands two at a time, as the program itself does on two cores.
    private static Cost Side(IReadOnlyList<string[]> commands)
    {
        double before = ProcessorTime.OfChildren();
        Stopwatch clock = Stopwatch.StartNew();
        long most = 0;
        using CancellationTokenSource done = new();
        Thread watch = new(() =>
        {
            while (!done.IsCancellationRequested)
            {
                most = Math.Max(most, DescendantKilobytes());
                Thread.Sleep(20);
            }
        });
        watch.Start();
        Parallel.ForEach(commands, new ParallelOptions { MaxDegreeOfParallelism = 2 }, command =>
        {
            ProcessStartInfo start = new(command[0], command[1..]) { RedirectStandardOutput = true, RedirectStandardError = true };
            using Process process = Process.Start(start)!;
            Task<string> error = process.StandardError.ReadToEndAsync();
            process.StandardOutput.ReadToEnd();
            process.WaitForExit();
            if (process.ExitCode is not (0 or 5))
            {
                throw new InvalidOperationException($"{string.Join(' ', command)}: {process.ExitCode} {error.Result}");
            }
        });
        double wall = clock.Elapsed.TotalSeconds;
        done.Cancel();
        watch.Join();
        return new Cost(wall, ProcessorTime.OfChildren() - before, most / 1024.0);
    }

    private static long DescendantKilobytes()
    {
        Dictionary<int, List<int>> children = [];
        foreach (string folder in Directory.GetDirectories("/proc"))
        {
            if (int.TryParse(Path.GetFileName(folder), CultureInfo.InvariantCulture, out int id) && Text(folder + "/stat") is { } stat
                && int.TryParse(stat.Split(") ")[^1].Split(' ')[1], CultureInfo.InvariantCulture, out int parent))
            {
                (children.TryGetValue(parent, out List<int>? list) ? list : children[parent] = []).Add(id);
            }
        }

        long Sum(int id) => children.GetValueOrDefault(id, []).Sum(c => Resident(c) + Sum(c));
        return Sum(Environment.ProcessId);
    }

    private static long Resident(int id) => Text($"/proc/{id}/status")?.Split('\n').FirstOrDefault(l => l.StartsWith("VmRSS:", StringComparison.Ordinal)) is { } line
        ? long.Parse(line.Split(' ', StringSplitOptions.RemoveEmptyEntries)[^2], CultureInfo.InvariantCulture)
        : 0;

    private static string? Text(string path)
    {
        try
        {
            return File.ReadAllText(path);
        }
        catch (IOException)
        {
            // It ended meanwhile.
            return null;
        }
    }

    private static void Row(string clips, string what, Cost c, double? floor) => Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
        $"| {clips} | {what} | {c.Wall:F2} | {c.Processor:F2} | {c.Megabytes:F0} | {(floor is { } f ? (c.Wall / f).ToString("F2", CultureInfo.InvariantCulture) : "")} |"));

    private readonly record struct Cost(double Wall, double Processor, double Megabytes);
}
