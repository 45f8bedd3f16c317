using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;
using Tonematch.Colour;
using Tonematch.Formats.Cube;
using Tonematch.Luts;
using Tonematch.Luts.Tables;
using Tonematch.Pictures;
using Tonematch.Testing;

namespace Tonematch.Bench.Luts;

/// <summary>
/// The LUT engine beside FFmpeg's lut3d and OpenColorIO in one run, in megapixels a second. One thread by processor
/// time (a busy machine disturbs it least), all cores by the clock. Prints the table of docs/performance.md.
/// </summary>
internal static partial class LutSpeedBench
{
    private const int Width = 1920, Height = 1080, Pixels = Width * Height;

    // FFmpeg's cost a frame is the difference between these two runs: start, file parsing and warm-up cancel.
    private const int FewFrames = 5, ManyFrames = 45;

    private const string OpenColorIOScript = """
        import sys, time, threading, numpy, PyOpenColorIO as ocio
        cube, raw, w, h, threads = sys.argv[1:6]
        w, h, threads = int(w), int(h), int(threads)
        bits = ocio.BIT_DEPTH_F32
        cpu = ocio.Config.CreateRaw().getProcessor(ocio.FileTransform(src=cube, interpolation=ocio.INTERP_TETRAHEDRAL)) \
            .getOptimizedCPUProcessor(bits, bits, ocio.OPTIMIZATION_DEFAULT)
        data = numpy.fromfile(raw, dtype='float32')
        def desc(part):
            n = part.size // 3
            return ocio.PlanarImageDesc(part[:n], part[n:2*n], part[2*n:], w, n // w, bits, part.itemsize, w * part.itemsize)
        rows = h // threads
        parts = [data.reshape(-1)[3*w*rows*i:3*w*rows*(i+1)].copy() for i in range(threads)]
        best = 1e9
        for _ in range(5):
            images = [desc(p.copy()) for p in parts]
            clock = time.process_time if threads == 1 else time.perf_counter
            start = clock()
            jobs = [threading.Thread(target=cpu.apply, args=(i,)) for i in images]
            [j.start() for j in jobs]; [j.join() for j in jobs]
            best = min(best, clock() - start)
        print(w * rows * threads / best / 1e6)
        """;

    public static int Run(string[] args)
    {
        using TempFolder folder = new();
        Console.WriteLine($"Float planes, {Width}x{Height}, megapixels a second; in brackets: random picture. {Environment.ProcessorCount} cores.");
        Console.WriteLine();
        Console.WriteLine("| nodes | threads | engine | FFmpeg lut3d | OpenColorIO | engine / faster of the two |");
        Console.WriteLine("|---|---|---|---|---|---|");
        foreach (int size in new[] { 33, 65 })
        {
            Lut3D lut = Lut3D.FromFunction(size, c => new(Math.Pow(c.R, 0.9), (0.9 * c.G) + (0.1 * c.B * c.R), 0.05 + (0.9 * Math.Sqrt(c.B))));
            using (StreamWriter writer = new(folder.PathOf("l.cube")))
            {
                CubeFormat.Write(writer, lut, "bench");
            }

            LutEngine engine = new(lut);
            foreach (bool allCores in args.Contains("one-thread") ? new[] { false } : [false, true])
            {
                Figures photo = Measure(engine, Made(random: false), allCores, folder);
                Figures random = Measure(engine, Made(random: true), allCores, folder);
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                    $"| {size} | {(allCores ? "all" : "1")} | {photo.Ours:0} ({random.Ours:0}) | {photo.Ffmpeg:0} ({random.Ffmpeg:0}) | {photo.OpenColorIO:0} ({random.OpenColorIO:0}) | {photo.Ratio:0.0} ({random.Ratio:0.0}) |"));
            }
        }

        return 0;
    }

    private static Figures Measure(LutEngine engine, Picture picture, bool allCores, TempFolder folder)
    {
        string raw = folder.PathOf("picture.raw");
        using (FileStream file = File.Create(raw))
        {
            foreach (ReadOnlySpan<float> plane in (ReadOnlySpan<float[]>)[picture.R.ToArray(), picture.G.ToArray(), picture.B.ToArray()])
            {
                file.Write(MemoryMarshal.AsBytes(plane));
            }
        }

        float[] r = new float[Pixels], g = new float[Pixels], b = new float[Pixels];
        Action apply = allCores ? () => engine.Apply(picture) : () => engine.Apply(picture.R, picture.G, picture.B, r, g, b);
        return new Figures(Ours(apply, allCores), Ffmpeg(raw, allCores, folder), OpenColorIO(raw, allCores, folder));
    }

    private static double Ours(Action apply, bool allCores)
    {
        for (int i = 0; i < 20; i++)
        {
            apply();
        }

        double best = double.MaxValue;
        for (int round = 0; round < 7; round++)
        {
            const int repeats = 25;
            TimeSpan processor = Environment.CpuUsage.UserTime;
            long clock = Stopwatch.GetTimestamp();
            for (int i = 0; i < repeats; i++)
            {
                apply();
            }

            double seconds = (allCores ? Stopwatch.GetElapsedTime(clock) : Environment.CpuUsage.UserTime - processor).TotalSeconds;
            best = Math.Min(best, seconds / repeats);
        }

        return Pixels / best / 1e6;
    }

    private static double Ffmpeg(string raw, bool allCores, TempFolder folder)
    {
        double few = double.MaxValue, many = double.MaxValue;
        for (int round = 0; round < 3; round++)
        {
            few = Math.Min(few, Seconds(FewFrames));
            many = Math.Min(many, Seconds(ManyFrames));
        }

        return Pixels * (double)(ManyFrames - FewFrames) / (many - few) / 1e6;

        double Seconds(int frames)
        {
            (int exit, _, string errors) = ExternalTool.Ffmpeg().TryRun(
                [
                    "-hide_banner", "-benchmark", "-filter_threads", allCores ? Environment.ProcessorCount.ToString(CultureInfo.InvariantCulture) : "1",
                    "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-s", $"{Width}x{Height}", "-i", raw,
                    "-vf", $"loop=loop={frames - 1}:size=1,lut3d=file=l.cube:interp=tetrahedral", "-f", "null", "-",
                ], [], folder.FullPath);
            Match time = BenchPattern().Match(errors);
            return exit == 0 && time.Success
                ? double.Parse(time.Groups[allCores ? 2 : 1].ValueSpan, CultureInfo.InvariantCulture)
                : throw new InvalidOperationException(errors);
        }
    }

    private static double OpenColorIO(string raw, bool allCores, TempFolder folder)
    {
        byte[] output = ExternalTool.Python("numpy", "PyOpenColorIO").Run(
            [
                "-c", OpenColorIOScript, folder.PathOf("l.cube"), raw,
                Width.ToString(CultureInfo.InvariantCulture), Height.ToString(CultureInfo.InvariantCulture),
                (allCores ? Environment.ProcessorCount : 1).ToString(CultureInfo.InvariantCulture),
            ]);
        return double.Parse(System.Text.Encoding.ASCII.GetString(output), CultureInfo.InvariantCulture);
    }

    // Gradients and soft shapes with grain, as a photograph has them; or any colour anywhere.
    private static Picture Made(bool random)
    {
        Random noise = new(7);
        float[][] planes = [new float[Pixels], new float[Pixels], new float[Pixels]];
        for (int i = 0; i < Pixels; i++)
        {
            double x = i % Width / (double)Width, y = i / Width / (double)Height;
            for (int c = 0; c < 3; c++)
            {
                double soft = 0.5 + (0.25 * Math.Sin((7 * x) + (3 * c) + (4 * y))) + (0.2 * Math.Sin((11 * y) - (5 * x) + c));
                double grain = (noise.NextDouble() + noise.NextDouble() - 1) * 0.03;
                planes[c][i] = (float)(random ? noise.NextDouble() : Math.Clamp(soft + grain, 0, 1));
            }
        }

        return new Picture(Width, Height, planes[0], planes[1], planes[2], SignalEncoding.Bt709);
    }

    private sealed record Figures(double Ours, double Ffmpeg, double OpenColorIO)
    {
        public double Ratio => Ours / Math.Max(Ffmpeg, OpenColorIO);
    }

    [GeneratedRegex(@"bench: utime=([0-9.]+)s stime=[0-9.]+s rtime=([0-9.]+)s")]
    private static partial Regex BenchPattern();
}
