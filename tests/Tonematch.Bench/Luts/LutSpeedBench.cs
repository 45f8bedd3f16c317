using System.Diagnostics;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text.RegularExpressions;
using Tonematch.Formats.Cube;
using Tonematch.Luts;
using Tonematch.Luts.Tables;
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
        cube, raw, depth, planar, method, w, h, threads = sys.argv[1:9]
        w, h, threads = int(w), int(h), int(threads)
        kind = ocio.INTERP_TETRAHEDRAL if method == 'Tetrahedral' else ocio.INTERP_LINEAR
        bits = {'uint8': ocio.BIT_DEPTH_UINT8, 'uint16': ocio.BIT_DEPTH_UINT16, 'float32': ocio.BIT_DEPTH_F32}[depth]
        cpu = ocio.Config.CreateRaw().getProcessor(ocio.FileTransform(src=cube, interpolation=kind)) \
            .getOptimizedCPUProcessor(bits, bits, ocio.OPTIMIZATION_DEFAULT)
        data = numpy.fromfile(raw, dtype=depth)
        def desc(part):
            if planar == 'planar':
                n = part.size // 3
                return ocio.PlanarImageDesc(part[:n], part[n:2*n], part[2*n:], w, n // w, bits, w * 0 + part.itemsize, w * part.itemsize)
            return ocio.PackedImageDesc(part, w, part.size // 3 // w, ocio.CHANNEL_ORDERING_RGB, bits, part.itemsize, 3 * part.itemsize, 3 * w * part.itemsize)
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

    private sealed record Format(string Name, string Ffmpeg, string NumpyType, bool IsPlanar, Func<LutEngine, byte[], byte[], bool, Action> Ours);

    public static int Run(string[] args)
    {
        bool trilinear = args.Contains("trilinear");
        LutMethod method = trilinear ? LutMethod.Trilinear : LutMethod.Tetrahedral;
        using TempFolder folder = new();
        Console.WriteLine($"{method}, {Width}x{Height}, megapixels a second; in brackets: random picture. {Environment.ProcessorCount} cores.");
        Console.WriteLine();
        Console.WriteLine("| format | nodes | threads | engine | FFmpeg lut3d | OpenColorIO | engine / faster of the two |");
        Console.WriteLine("|---|---|---|---|---|---|---|");
        foreach (int size in new[] { 33, 65 })
        {
            Lut3D lut = Lut3D.FromFunction(size, c => new(Math.Pow(c.R, 0.9), (0.9 * c.G) + (0.1 * c.B * c.R), 0.05 + (0.9 * Math.Sqrt(c.B))));
            using (StreamWriter writer = new(folder.PathOf("l.cube")))
            {
                CubeFormat.Write(writer, lut, "bench");
            }

            LutEngine engine = new(lut, method);
            foreach (Format format in Formats())
            {
                foreach (bool allCores in args.Contains("one-thread") ? new[] { false } : [false, true])
                {
                    Figures photo = Measure(format, engine, Picture(format, random: false), allCores, method, folder);
                    Figures random = Measure(format, engine, Picture(format, random: true), allCores, method, folder);
                    Console.WriteLine(string.Create(CultureInfo.InvariantCulture,
                        $"| {format.Name} | {size} | {(allCores ? "all" : "1")} | {photo.Ours:0} ({random.Ours:0}) | {photo.Ffmpeg:0} ({random.Ffmpeg:0}) | {photo.OpenColorIO:0} ({random.OpenColorIO:0}) | {photo.Ratio:0.0} ({random.Ratio:0.0}) |"));
                }
            }
        }

        return 0;
    }

    private static Figures Measure(Format format, LutEngine engine, byte[] picture, bool allCores, LutMethod method, TempFolder folder)
    {
        string raw = folder.PathOf("picture.raw");
        File.WriteAllBytes(raw, picture);
        byte[] result = new byte[picture.Length];
        Action apply = format.Ours(engine, picture, result, allCores);
        return new Figures(Ours(apply, allCores), Ffmpeg(format, raw, allCores, method, folder), OpenColorIO(format, raw, allCores, method, folder));
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

    private static double Ffmpeg(Format format, string raw, bool allCores, LutMethod method, TempFolder folder)
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
            string interpolation = method == LutMethod.Tetrahedral ? "tetrahedral" : "trilinear";
            (int exit, _, string errors) = ExternalTool.Ffmpeg().TryRun(
                [
                    "-hide_banner", "-benchmark", "-filter_threads", allCores ? Environment.ProcessorCount.ToString(CultureInfo.InvariantCulture) : "1",
                    "-f", "rawvideo", "-pix_fmt", format.Ffmpeg, "-s", $"{Width}x{Height}", "-i", raw,
                    "-vf", $"loop=loop={frames - 1}:size=1,lut3d=file=l.cube:interp={interpolation}", "-f", "null", "-",
                ], [], folder.FullPath);
            Match time = BenchPattern().Match(errors);
            return exit == 0 && time.Success
                ? double.Parse(time.Groups[allCores ? 2 : 1].ValueSpan, CultureInfo.InvariantCulture)
                : throw new InvalidOperationException(errors);
        }
    }

    private static double OpenColorIO(Format format, string raw, bool allCores, LutMethod method, TempFolder folder)
    {
        byte[] output = ExternalTool.Python("numpy", "PyOpenColorIO").Run(
            [
                "-c", OpenColorIOScript, folder.PathOf("l.cube"), raw, format.NumpyType, format.IsPlanar ? "planar" : "packed", method.ToString(),
                Width.ToString(CultureInfo.InvariantCulture), Height.ToString(CultureInfo.InvariantCulture),
                (allCores ? Environment.ProcessorCount : 1).ToString(CultureInfo.InvariantCulture),
            ]);
        return double.Parse(System.Text.Encoding.ASCII.GetString(output), CultureInfo.InvariantCulture);
    }

    private static IEnumerable<Format> Formats()
    {
        yield return new("planar float", "gbrpf32le", "float32", true, (e, from, to, all) =>
        {
            (float[] r, float[] g, float[] b) = Planes<float>(from);
            (float[] x, float[] y, float[] z) = Planes<float>(to);
            return all ? () => e.ApplyOnAllCores(r, g, b, x, y, z) : () => e.Apply(r, g, b, x, y, z);
        });
        yield return new("planar 8 bit", "gbrp", "uint8", true, (e, from, to, all) =>
        {
            (byte[] r, byte[] g, byte[] b) = Planes<byte>(from);
            (byte[] x, byte[] y, byte[] z) = Planes<byte>(to);
            return all ? () => e.ApplyOnAllCores(r, g, b, x, y, z) : () => e.Apply(r, g, b, x, y, z);
        });
        yield return new("packed 8 bit", "rgb24", "uint8", false, (e, from, to, all) =>
            all ? () => e.ApplyOnAllCores(from, to) : () => e.Apply(from.AsSpan(), to));
        yield return new("planar 16 bit", "gbrp16le", "uint16", true, (e, from, to, all) =>
        {
            (ushort[] r, ushort[] g, ushort[] b) = Planes<ushort>(from);
            (ushort[] x, ushort[] y, ushort[] z) = Planes<ushort>(to);
            return all ? () => e.ApplyOnAllCores(r, g, b, x, y, z) : () => e.Apply(r, g, b, x, y, z);
        });
        yield return new("packed 16 bit", "rgb48le", "uint16", false, (e, from, to, all) =>
        {
            ushort[] i = MemoryMarshal.Cast<byte, ushort>(from).ToArray(), o = new ushort[i.Length];
            return all ? () => e.ApplyOnAllCores(i, o) : () => e.Apply(i.AsSpan(), o);
        });
    }

    private static (T[] R, T[] G, T[] B) Planes<T>(byte[] picture)
        where T : unmanaged
    {
        ReadOnlySpan<T> all = MemoryMarshal.Cast<byte, T>(picture);
        return (all[..Pixels].ToArray(), all.Slice(Pixels, Pixels).ToArray(), all[(2 * Pixels)..].ToArray());
    }

    // Gradients and soft shapes with grain, as a photograph has them; or any colour anywhere.
    private static byte[] Picture(Format format, bool random)
    {
        Random noise = new(7);
        double[] values = new double[3 * Pixels];
        for (int i = 0; i < Pixels; i++)
        {
            double x = i % Width / (double)Width, y = i / Width / (double)Height;
            for (int c = 0; c < 3; c++)
            {
                double soft = 0.5 + (0.25 * Math.Sin((7 * x) + (3 * c) + (4 * y))) + (0.2 * Math.Sin((11 * y) - (5 * x) + c));
                double grain = (noise.NextDouble() + noise.NextDouble() - 1) * 0.03;
                values[format.IsPlanar ? (c * Pixels) + i : (3 * i) + c] = random ? noise.NextDouble() : Math.Clamp(soft + grain, 0, 1);
            }
        }

        return format.NumpyType switch
        {
            "uint8" => [.. values.Select(v => (byte)Math.Round(v * 255))],
            "uint16" => MemoryMarshal.AsBytes<ushort>([.. values.Select(v => (ushort)Math.Round(v * 65535))]).ToArray(),
            _ => MemoryMarshal.AsBytes<float>([.. values.Select(v => (float)v)]).ToArray(),
        };
    }

    private sealed record Figures(double Ours, double Ffmpeg, double OpenColorIO)
    {
        public double Ratio => Ours / Math.Max(Ffmpeg, OpenColorIO);
    }

    [GeneratedRegex(@"bench: utime=([0-9.]+)s stime=[0-9.]+s rtime=([0-9.]+)s")]
    private static partial Regex BenchPattern();
}
