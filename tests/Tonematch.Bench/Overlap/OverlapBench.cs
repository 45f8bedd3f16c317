using System.Diagnostics;
using OpenCvSharp;
using Tonematch.Bench.Charts;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Vision.Overlap;

namespace Tonematch.Bench.Overlap;

/// <summary>
/// Real two-view photographs with known renderings on one side: pairs, and what the fitted correction leaves.
/// Arguments: words that a case's name must contain.
/// </summary>
internal static class OverlapBench
{
    private const string Examples = "/usr/share/doc/opencv-doc/examples/data/";

    public static int Run(string[] args)
    {
        (string Name, string Primary, string Secondary, double Zoom)[] scenes =
        [
            ("aloe", Examples + "aloeL.jpg", Examples + "aloeR.jpg", 1),
            ("aloe, secondary close x2", Examples + "aloeL.jpg", Examples + "aloeR.jpg", 2),
            ("aloe, primary close x3", Examples + "aloeR.jpg", Examples + "aloeL.jpg", -3),
            ("leuven", Examples + "leuvenA.jpg", Examples + "leuvenB.jpg", 1),
            ("leuven, secondary close x2", Examples + "leuvenA.jpg", Examples + "leuvenB.jpg", 2),
            ("left-right", Examples + "left.jpg", Examples + "right.jpg", 1),
            ("graf", Examples + "graf1.png", Examples + "graf3.png", 1),
            ("rubberwhale, secondary close x3", Examples + "rubberwhale1.png", Examples + "rubberwhale2.png", 3),
            ("fence", Photos("fence-left.png"), Photos("fence-right.png"), 1),
            ("fence, secondary close x2.5", Photos("fence-left.png"), Photos("fence-right.png"), 2.5),
        ];
        Console.WriteLine("| scene | rendering | matches->pairs | before | truth after: mean | p95 | advised | train | rejected | s |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|");
        foreach ((string name, string first, string second, double zoom) in scenes.Where(s => args.All(a => s.Name.Contains(a, StringComparison.Ordinal))))
        {
            if (!File.Exists(first) || !File.Exists(second))
            {
                continue;
            }

            Picture primary = BenchPictures.Read(first), secondary = BenchPictures.Read(second);
            if (zoom > 1)
            {
                secondary = Close(secondary, zoom);
            }
            else if (zoom < 0)
            {
                primary = Close(primary, -zoom);
            }

            Correction? natural = null;
            foreach (Rendering rendering in Rendering.All)
            {
                natural = One(name, primary, secondary, rendering, natural);
            }
        }

        foreach ((string a, string b) in (ReadOnlySpan<(string, string)>)[
            (Photos("church-day.jpg"), Photos("church-night.jpg")), (Examples + "aloeL.jpg", Examples + "leuvenA.jpg"),
            (Photos("fence-left.png"), Photos("church-day.jpg")), (Examples + "graf1.png", Examples + "home.jpg")])
        {
            if (args.Length > 0)
            {
                break;
            }

            SampleSet set = OverlapSampler.Sample(BenchPictures.Read(a), BenchPictures.Read(b));
            Console.WriteLine($"{Path.GetFileName(a)} / {Path.GetFileName(b)}: {set.Pairs.Length} pairs; refusal: {set.Refusal ?? "none"}; warnings: {string.Join(" ", set.Warnings)}");
        }

        return 0;
    }

    private static Correction? One(string scene, Picture primary, Picture secondary, Rendering rendering, Correction? natural)
    {
        Picture seen = rendering.On(secondary);
        Stopwatch watch = Stopwatch.StartNew();
        SampleSet set = OverlapSampler.Sample(primary, seen);
        double seconds = watch.Elapsed.TotalSeconds;
        string rejected = string.Join(" ", set.Rejected.Select(r => $"{r.Key} {r.Value}"));
        if (set.Refusal is not null)
        {
            Console.WriteLine($"| {scene} | {rendering.Name} | refused: {set.Refusal} | | | | | | {rejected} | {seconds:0.0} |");
            return natural;
        }

        FitResult fit = CorrectionFitting.Fit(set, FitOptions.Default, default);
        natural ??= fit.Candidates.First(c => c.Correction.Kind == CorrectionKind.Gains).Correction;
        DeltaEStatistics truth = Truth(secondary, seen, fit.Advised.Correction, natural);
        Console.WriteLine($"| {scene} | {rendering.Name} | {set.Pairs.Length} | {fit.Before.Mean:0.0} | {truth.Mean:0.00} | {truth.Percentile95:0.0} | {fit.Advised.Correction.Kind.Name()} | {fit.Advised.Train.Mean:0.00} | {rejected} | {seconds:0.0} |{string.Concat(set.Warnings)}");
        return natural;
    }

    // What every pixel of the secondary should be: the photograph before the rendering, brought to the primary by
    // what the same sampler and fit find without any rendering (two real photographs are never exposed quite alike).
    private static DeltaEStatistics Truth(Picture original, Picture seen, Correction correction, Correction natural)
    {
        List<double> differences = [];
        int n = seen.Width * seen.Height;
        for (int i = 7; i < n; i += 101)
        {
            CodeRgb s = new(seen.R[i], seen.G[i], seen.B[i]), o = new(original.R[i], original.G[i], original.B[i]);
            if (ColourStatistics.Clips(s) || ColourStatistics.Clips(o))
            {
                continue;
            }

            differences.Add(DeltaE2000.Between(
                SignalEncoding.Srgb.ToLab(natural.Apply(o).Clamped()), SignalEncoding.Srgb.ToLab(correction.Apply(s).Clamped())));
        }

        return DeltaEStatistics.Of([.. differences]);
    }

    private static Picture Close(Picture p, double zoom)
    {
        int w = (int)(p.Width / zoom), h = (int)(p.Height / zoom), left = (p.Width - w) / 2, top = (p.Height - h) / 2;
        byte[] bgr = new byte[3 * w * h];
        for (int y = 0; y < h; y++)
        {
            for (int x = 0; x < w; x++)
            {
                CodeRgb c = p[left + x, top + y];
                int o = 3 * ((y * w) + x);
                (bgr[o], bgr[o + 1], bgr[o + 2]) = ((byte)Math.Round(255 * c.B), (byte)Math.Round(255 * c.G), (byte)Math.Round(255 * c.R));
            }
        }

        using Mat crop = Mat.FromPixelData(h, w, MatType.CV_8UC3, bgr), large = new();
        Cv2.Resize(crop, large, new Size(p.Width, p.Height), 0, 0, InterpolationFlags.Cubic);
        return BenchPictures.FromMat(large);
    }

    private static string Photos(string name) =>
        Path.Combine(Environment.GetEnvironmentVariable("TONEMATCH_TESTDATA") ?? "../shared/testdata", "photos", name);
}
