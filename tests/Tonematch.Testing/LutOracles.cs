using System.Globalization;
using System.Runtime.InteropServices;
using Tonematch.Colour;
using Tonematch.Formats.Cube;
using Tonematch.Luts.Tables;

namespace Tonematch.Testing;

/// <summary>Independent programs that apply a table: FFmpeg and OpenColorIO.</summary>
public static class LutOracles
{
    /// <summary>
    /// They compute in float: the place in a table of 33 nodes has an error of 2e-6 of a cell, and in a table of
    /// random values neighbouring nodes differ by up to 1.4. So 3e-6; measured: below 2e-6.
    /// </summary>
    public const double FloatRounding = 4e-6;

    // One process for many files: starting the interpreter and the library costs more than the colours.
    private const string ApplyScript = """
        import sys, numpy, PyOpenColorIO as ocio
        method, id, paths = sys.argv[1], sys.argv[2], sys.argv[3:]
        kind = {'Tetrahedral': ocio.INTERP_TETRAHEDRAL, 'Trilinear': ocio.INTERP_LINEAR, 'Default': ocio.INTERP_DEFAULT}[method]
        colours = numpy.frombuffer(sys.stdin.buffer.read(), dtype=numpy.float32).reshape(-1, 3)
        for path in paths:
            transform = ocio.FileTransform(src=path, interpolation=kind, direction=ocio.TRANSFORM_DIR_FORWARD)
            if id: transform.setCCCId(id)
            processor = ocio.Config.CreateRaw().getProcessor(transform)
            cpu = processor.getOptimizedCPUProcessor(ocio.OPTIMIZATION_NONE)
            pixels = colours.copy()
            cpu.applyRGB(pixels)
            sys.stdout.buffer.write(pixels.tobytes())
        """;

    /// <summary>Colours aimed at a table: nodes, cell middles, faces, greys, and random ones; all exact floats in 0..1.</summary>
    public static CodeRgb[] Colours(int size)
    {
        Random random = new(size);
        List<CodeRgb> colours = [];
        double F(double v) => (float)v;
        for (int i = 0; i < size; i++)
        {
            double node = F(i / (size - 1.0)), middle = F(Math.Min(1, (i + 0.5) / (size - 1.0)));
            colours.AddRange([CodeRgb.Grey(node), CodeRgb.Grey(middle), new(node, middle, 0), new(1, node, middle), new(middle, middle, node)]);
        }

        while (colours.Count < 4096)
        {
            colours.Add(new CodeRgb(F(random.NextDouble()), F(random.NextDouble()), F(random.NextDouble())));
        }

        return [.. colours];
    }

    /// <summary>The table as .cube text.</summary>
    public static string CubeText(Lut3D lut)
    {
        using StringWriter text = new(CultureInfo.InvariantCulture);
        CubeFormat.Write(text, lut, "test");
        return text.ToString();
    }

    /// <summary>What FFmpeg's lut3d makes of the colours on float planes.</summary>
    public static CodeRgb[] Ffmpeg(Lut3D lut, CodeRgb[] colours, LutMethod method)
    {
        string interpolation = method == LutMethod.Tetrahedral ? "tetrahedral" : "trilinear";
        using TempFolder folder = new();
        File.WriteAllText(folder.PathOf("l.cube"), CubeText(lut));
        return FfmpegFilter($"lut3d=file=l.cube:interp={interpolation}", colours, folder.FullPath);
    }

    /// <summary>What an FFmpeg filter makes of the colours on float planes.</summary>
    public static CodeRgb[] FfmpegFilter(string filter, CodeRgb[] colours, string folder)
    {
        // gbrpf32le: planes in the order green, blue, red.
        int n = colours.Length;
        float[] planes = [.. colours.Select(c => (float)c.G), .. colours.Select(c => (float)c.B), .. colours.Select(c => (float)c.R)];
        string size = $"{n.ToString(CultureInfo.InvariantCulture)}x1";
        byte[] output = ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "-s", size, "-i", "pipe:0",
                "-vf", filter, "-f", "rawvideo", "-pix_fmt", "gbrpf32le", "pipe:1",
            ],
            MemoryMarshal.AsBytes(planes.AsSpan()).ToArray(), folder);
        float[] result = MemoryMarshal.Cast<byte, float>(output).ToArray();
        return [.. Enumerable.Range(0, n).Select(i => new CodeRgb(result[(2 * n) + i], result[i], result[n + i]))];
    }

    /// <summary>What OpenColorIO makes of the colours with a file of this text and name (its ending says the format).</summary>
    public static CodeRgb[] OpenColorIO(string text, string name, CodeRgb[] colours, LutMethod? method, string id = "") =>
        OpenColorIO([text], name, colours, method, id).Single();

    /// <summary>The same for many files.</summary>
    public static CodeRgb[][] OpenColorIO(
        IReadOnlyList<string> texts, string name, CodeRgb[] colours, LutMethod? method, string id = "")
    {
        ExternalTool python = ExternalTool.Python("numpy", "PyOpenColorIO");
        using TempFolder folder = new();
        List<string> paths = [];
        foreach (string text in texts)
        {
            string path = folder.PathOf($"{paths.Count}-{name}");
            File.WriteAllText(path, text);
            paths.Add(path);
        }

        float[] pixels = [.. colours.SelectMany(c => new[] { (float)c.R, (float)c.G, (float)c.B })];
        byte[] output = python.Run(
            ["-c", ApplyScript, method?.ToString() ?? "Default", id, .. paths], MemoryMarshal.AsBytes(pixels.AsSpan()).ToArray());
        float[] result = MemoryMarshal.Cast<byte, float>(output).ToArray();
        return [.. result.Chunk(3).Select(p => new CodeRgb(p[0], p[1], p[2])).Chunk(colours.Length)];
    }
}
