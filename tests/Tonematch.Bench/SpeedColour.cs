using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Testing;

namespace Tonematch.Bench;

/// <summary>
/// Code values to CIELAB, and CIEDE2000, one thread, beside scikit-image on the same values in the same run: whole
/// runs alternate, the median of the rounds counts, time is processor time.
/// </summary>
internal static class SpeedColour
{
    private const int Count = 1 << 20;
    private const int DefaultRounds = 5;

    // scikit-image reads six or three planes of float32 from a file and times its functions in float64 and float32.
    private const string Script = """
        import sys, time
        import numpy as np
        from skimage import color
        x = np.fromfile(sys.argv[1], np.float32).reshape(9, -1)
        rgb, one, two = (np.ascontiguousarray(x[i:i + 3].T) for i in (0, 3, 6))
        for name, f, a in (("lab", color.rgb2lab, (rgb,)), ("de", color.deltaE_ciede2000, (one, two))):
            for kind in (np.float64, np.float32):
                b = [v.astype(kind) for v in a]
                times = []
                for _ in range(3):
                    t = time.process_time(); y = f(*b); times.append(time.process_time() - t)
                print(name, np.dtype(kind).name, min(times))
        """;

    /// <summary>Runs the bench; an argument gives the number of rounds.</summary>
    public static int Run(string[] arguments)
    {
        int rounds = arguments.Length > 0 ? int.Parse(arguments[0], CultureInfo.InvariantCulture) : DefaultRounds;
        float[][] planes = Planes();
        using TempFolder folder = new();
        string file = folder.PathOf("planes.f32");
        File.WriteAllBytes(file, [.. planes.SelectMany(p => MemoryMarshal.AsBytes(p.AsSpan()).ToArray())]);
        CodeRgb[] codes = [.. Enumerable.Range(0, Count).Select(i => new CodeRgb(planes[0][i], planes[1][i], planes[2][i]))];
        Lab[] first = [.. Enumerable.Range(0, Count).Select(i => new Lab(planes[3][i], planes[4][i], planes[5][i]))];
        Lab[] second = [.. Enumerable.Range(0, Count).Select(i => new Lab(planes[6][i], planes[7][i], planes[8][i]))];

        List<(string Name, Action Run)> ours = [];
        double sink = 0;
        foreach (SignalEncoding encoding in SignalEncoding.All)
        {
            ours.Add(($"{encoding} to CIELAB", () =>
            {
                foreach (CodeRgb code in codes)
                {
                    sink += encoding.ToLab(code).L;
                }
            }
            ));
        }

        ours.Add(("CIEDE2000", () =>
        {
            for (int i = 0; i < Count; i++)
            {
                sink += DeltaE2000.Between(first[i], second[i]);
            }
        }
        ));

        Dictionary<string, List<double>> seconds = [];
        foreach ((string _, Action run) in ours)
        {
            for (int i = 0; i < 3; i++)
            {
                run(); // compiled and warm
            }
        }

        for (int round = 0; round < rounds; round++)
        {
            foreach ((string name, Action run) in ours)
            {
                Add(name, Time(run));
            }

            foreach (string line in ScikitImage(file))
            {
                string[] words = line.Split(' ');
                Add($"{words[0]} {words[1]}", double.Parse(words[2], CultureInfo.InvariantCulture));
            }
        }

        Print(seconds);
        return double.IsNaN(sink) ? 1 : 0;

        void Add(string name, double value)
        {
            if (!seconds.TryGetValue(name, out List<double>? list))
            {
                seconds[name] = list = [];
            }

            list.Add(value);
        }
    }

    private static void Print(Dictionary<string, List<double>> seconds)
    {
        double Rate(string name) => Count / Median(seconds[name]) / 1e6;
        Console.WriteLine($"{Count} colours a run, one thread, processor time, median of {seconds.First().Value.Count} alternated rounds; scikit-image: best of 3 in each.");
        Console.WriteLine();
        Console.WriteLine("| what | million a second | times scikit-image float64 | times scikit-image float32 |");
        Console.WriteLine("|---|---|---|---|");
        foreach (string name in seconds.Keys.Where(k => !k.StartsWith("lab ", StringComparison.Ordinal) && !k.StartsWith("de ", StringComparison.Ordinal)))
        {
            string peer = name.StartsWith("CIEDE2000", StringComparison.Ordinal) ? "de" : "lab";
            Console.WriteLine(string.Create(
                CultureInfo.InvariantCulture,
                $"| {name} | {Rate(name):0.0} | {Rate(name) / Rate(peer + " float64"):0.0} | {Rate(name) / Rate(peer + " float32"):0.0} |"));
        }

        foreach ((string peer, string title) in new[] { ("lab", "sRGB to CIELAB"), ("de", "CIEDE2000") })
        {
            foreach (string kind in new[] { "float64", "float32" })
            {
                Console.WriteLine(string.Create(
                    CultureInfo.InvariantCulture, $"| scikit-image, {title}, {kind} | {Rate($"{peer} {kind}"):0.00} | | |"));
            }
        }
    }

    private static double Time(Action run)
    {
        TimeSpan before = Environment.CpuUsage.TotalTime;
        run();
        return (Environment.CpuUsage.TotalTime - before).TotalSeconds;
    }

    private static string[] ScikitImage(string file)
    {
        ProcessStartInfo start = new("/usr/bin/python3", ["-c", Script, file]) { RedirectStandardOutput = true };
        using Process process = Process.Start(start)!;
        string output = process.StandardOutput.ReadToEnd();
        process.WaitForExit();
        return process.ExitCode == 0
            ? output.Split('\n', StringSplitOptions.RemoveEmptyEntries)
            : throw new InvalidOperationException("Debian's Python with scikit-image (python3-skimage) is needed.");
    }

    private static float[][] Planes()
    {
        Random random = new(1);
        float[][] planes = [.. Enumerable.Range(0, 9).Select(_ => new float[Count])];
        for (int i = 0; i < Count; i++)
        {
            for (int c = 0; c < 3; c++)
            {
                planes[c][i] = random.NextSingle();
            }

            for (int c = 3; c < 9; c++)
            {
                planes[c][i] = c % 3 == 0 ? 100 * random.NextSingle() : (256 * random.NextSingle()) - 128;
            }
        }

        return planes;
    }

    private static double Median(List<double> values)
    {
        double[] sorted = [.. values.Order()];
        return sorted[sorted.Length / 2];
    }
}
