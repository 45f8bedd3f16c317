using System.Diagnostics;
using System.Globalization;
using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Vision.Charts;

namespace Tonematch.Bench.Charts;

/// <summary>
/// Found, missed and falsely found charts, beside OpenCV's detector on the same pictures in the same run.
/// <c>charts photos PICTURE...</c> for photographs; <c>charts rendered COUNT [--set N] [KIND...]</c> for made ones (COUNT of
/// each kind). Set 0 is the one the search was mended on; every other number makes other pictures.
/// </summary>
internal static class ChartsBench
{
    // Right: the median of the patches agrees with what was drawn there. A chart read upside down or beside its place
    // is off by tens.
    private const double RightDeltaE = 6;

    public static int Run(string[] args) => args switch
    {
        ["photos", .. string[] paths] => Photos(paths),
        ["rendered", string count, "--set", string set, .. string[] kinds] => Rendered(Number(count), Number(set), kinds),
        ["rendered", string count, .. string[] kinds] => Rendered(Number(count), 0, kinds),
        _ => Usage(),
    };

    // Of all threads: what the search costs whatever else the machine does.
    private static TimeSpan Processor => Process.GetCurrentProcess().TotalProcessorTime;

    private static int Usage()
    {
        Console.Error.WriteLine("charts photos PICTURE... | charts rendered COUNT [--set N] [KIND...]");
        return 2;
    }

    private static int Number(string text) => int.Parse(text, CultureInfo.InvariantCulture);

    private static int Photos(string[] paths)
    {
        Dictionary<string, List<double[]>> peer = Peer(paths);
        Console.WriteLine("| photograph | Tonematch | explained | in line | residual | usable | cpu ms | OpenCV | residual |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|");
        foreach (string path in paths)
        {
            Picture p = BenchPictures.Read(path);
            TimeSpan began = Processor;
            ChartSearch search = ChartFinder.Find(p, ChartReference.Chart24);
            double ms = (Processor - began).TotalMilliseconds;
            string ours = search is ChartFound f
                ? string.Create(CultureInfo.InvariantCulture, $"found{(f.Match.HasKnownColours ? "" : ", not the known make")} | {f.Match.ExplainedShare:0.000} | {f.Match.AgreeingCount} | {f.Match.ResidualDeltaE:0.00} | {f.Chart.UsableCount}")
                : "none | | | | ";
            string theirs = peer.TryGetValue(Path.GetFileName(path), out List<double[]>? found) ? Residual(found[0]) : "none | ";
            Console.WriteLine($"| {Path.GetFileName(path)} {p.Width}x{p.Height} | {ours} | {ms:0} | {theirs} |");
        }

        return 0;
    }

    private static string Residual(double[] found)
    {
        ChartGeometry anywhere = ChartGeometry.FromCorners(ChartReference.Chart24.Layout, [new(0, 0), new(60, 0), new(60, 40), new(0, 40)])!;
        ChartMeasurement m = new(anywhere, SignalEncoding.Srgb, [.. Enumerable.Range(0, 24).Select(i =>
            new PatchMeasurement(i, new CodeRgb(found[2 + (3 * i)], found[3 + (3 * i)], found[4 + (3 * i)]), default, 100, 0, default))]);
        ChartMatch match = ChartRecognition.Compare(m, ChartReference.Chart24);
        return string.Create(CultureInfo.InvariantCulture, $"found, explained {match.ExplainedShare:0.000} | {match.ResidualDeltaE:0.00}");
    }

    private static int Rendered(int count, int set, string[] kinds)
    {
        string data = Environment.GetEnvironmentVariable("TONEMATCH_TESTDATA") ?? "../shared/testdata";
        const string examples = "/usr/share/doc/opencv-doc/examples/data/";
        string[] backgrounds = [.. ((string[])["aloeL.jpg", "leuvenA.jpg", "home.jpg", "fruits.jpg", "building.jpg", "baboon.jpg", "butterfly.jpg", "messi5.jpg", "stuff.jpg", "board.jpg", "smarties.png", "graf1.png"]).Select(n => examples + n).Where(File.Exists)];
        ChartScenes scenes = new(new SpectralCameras(Path.Combine(data, "spectra")), backgrounds);
        string folder = Directory.CreateTempSubdirectory("tonematch-charts-").FullName;
        try
        {
            Console.WriteLine($"Set {set}, {count} pictures a kind, 1280x720; DE: mean CIEDE2000 of the patches of the charts found");
            Console.WriteLine("| kind | Tonematch found | missed | false | DE | cpu ms | OpenCV found | missed | false | DE |");
            Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|");
            foreach (string kind in kinds.Length > 0 ? kinds : ChartScenes.Kinds)
            {
                One(kind, count, set, scenes, folder);
            }
        }
        finally
        {
            Directory.Delete(folder, true);
        }

        return 0;
    }

    private static void One(string kind, int count, int set, ChartScenes scenes, string folder)
    {
        Tally ours = new(), theirs = new();
        double ms = 0;
        List<(string File, ChartScene Scene)> made = [];
        for (int i = 0; i < count; i++)
        {
            ChartScene scene = scenes.Make(kind, (1_000_000 * set) + (1000 * Array.IndexOf(ChartScenes.Kinds, kind)) + i);
            string file = Path.Combine(folder, $"{kind.Replace(' ', '-')}-{i:0000}.png");
            Cv2.ImWrite(file, scene.Bgr);
            made.Add((file, scene));
            Picture picture = BenchPictures.FromMat(scene.Bgr);
            TimeSpan began = Processor;
            ChartSearch search = ChartFinder.Find(picture, ChartReference.Chart24);
            ms += (Processor - began).TotalMilliseconds;
            ChartFound? f = search as ChartFound;
            bool right = ours.Count(scene, f is null ? null : [.. f.Chart.Patches.Select(p => p.Colour)], f is null ? null : [.. f.Chart.Patches.Select(p => p.Fault is null)], Drawn(picture, scene));
            if (!right && Environment.GetEnvironmentVariable("TONEMATCH_KEEP") is { Length: > 0 } keep)
            {
                File.Copy(file, Path.Combine(keep, Path.GetFileName(file)), true);
            }
        }

        Dictionary<string, List<double[]>> peer = Peer([.. made.Select(m => m.File)]);
        foreach ((string file, ChartScene scene) in made)
        {
            double[]? found = peer.TryGetValue(Path.GetFileName(file), out List<double[]>? list) ? list[0] : null;
            theirs.Count(scene, found is null ? null : [.. Enumerable.Range(0, 24).Select(i => new CodeRgb(found[2 + (3 * i)], found[3 + (3 * i)], found[4 + (3 * i)]))], null, Drawn(BenchPictures.FromMat(scene.Bgr), scene));
            File.Delete(file);
            scene.Bgr.Dispose();
        }

        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {kind} | {ours} | {ms / count:0} | {theirs} |"));
    }

    // What is in the picture at the true places, shade, noise and all.
    private static CodeRgb[] Drawn(Picture p, ChartScene scene) => [.. scene.Centres.Select(c =>
    {
        int x = Math.Clamp((int)c.X, 1, p.Width - 2), y = Math.Clamp((int)c.Y, 1, p.Height - 2);
        CodeRgb[] around = [.. Enumerable.Range(0, 9).Select(i => p[x - 1 + (i % 3), y - 1 + (i / 3)])];
        return new CodeRgb(around.Average(a => a.R), around.Average(a => a.G), around.Average(a => a.B));
    })];

    private static Dictionary<string, List<double[]>> Peer(string[] paths)
    {
        string script = Path.Combine(AppContext.BaseDirectory, "opencv_detector.py"), result = Path.GetTempFileName();
        ProcessStartInfo start = new("/usr/bin/python3") { RedirectStandardError = true };
        foreach (string a in (string[])[script, result, .. paths])
        {
            start.ArgumentList.Add(a);
        }

        using Process process = Process.Start(start)!;
        process.StandardError.ReadToEnd();
        process.WaitForExit();
        Dictionary<string, List<double[]>> found = [];
        foreach (string line in File.ReadLines(result))
        {
            string[] parts = line.Split(',');
            if (!found.TryGetValue(parts[0], out List<double[]>? list))
            {
                found[parts[0]] = list = [];
            }

            list.Add([.. parts.Skip(1).Select(v => double.Parse(v, CultureInfo.InvariantCulture))]);
        }

        File.Delete(result);
        return found;
    }

    private sealed class Tally
    {
        private int _found;
        private int _missed;
        private int _false;
        private double _sum;
        private int _patches;

        public bool Count(ChartScene scene, CodeRgb[]? colours, bool[]? usable, CodeRgb[] drawn)
        {
            if (colours is null)
            {
                _missed += scene.Centres.Length > 0 ? 1 : 0;
                return scene.Centres.Length == 0;
            }

            double[] errors = [.. drawn.Select((d, i) => DeltaE2000.Between(SignalEncoding.Srgb.ToLab(d), SignalEncoding.Srgb.ToLab(colours[i])))];
            if (errors.Length == 0 || errors.Order().ElementAt(12) > RightDeltaE)
            {
                _false++;
                return false;
            }

            _found++;
            for (int i = 0; i < 24; i++)
            {
                if (usable is null || usable[i])
                {
                    _sum += errors[i];
                    _patches++;
                }
            }

            return true;
        }

        public override string ToString() => string.Create(CultureInfo.InvariantCulture, $"{_found} | {_missed} | {_false} | {(_patches > 0 ? _sum / _patches : 0):0.0}");
    }
}
