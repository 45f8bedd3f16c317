using System.Diagnostics;
using System.Globalization;
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
/// Arguments: words that a scene's name must contain; 'unlike' for the pictures that must be refused; 'few' for five renderings only; 'kinds' to list what every kind leaves.
/// </summary>
internal static class OverlapBench
{
    public static int Run(string[] args)
    {
        bool kinds = args.Contains("kinds");
        string[] words = [.. args.Where(a => a is not ("kinds" or "few"))];
        IEnumerable<Rendering> renderings = args.Contains("few") ? Rendering.All.Where((_, i) => i is 0 or 2 or 4 or 6 or 8) : Rendering.All;
        Console.WriteLine("Mean CIEDE2000. before/after: at places that truly correspond, found without the sampler; best: what the best of all kinds leaves when it is fitted to those places themselves; elsewhere: the same fitted to other such places of the picture; against: the whole secondary against the same photograph without the rendering, brought to the primary by what is advised for the true places; cpu: processor seconds of sampling.");
        Console.WriteLine("| scene | rendering | pairs | before | after | best | elsewhere | against | advised | on the pairs | cpu s | left out |");
        Console.WriteLine("|---|---|---|---|---|---|---|---|---|---|---|---|");
        foreach (OverlapScene scene in OverlapScene.All.Where(s => words.All(a => s.Name.Contains(a, StringComparison.Ordinal))))
        {
            if (!File.Exists(scene.Primary) || !File.Exists(scene.Secondary))
            {
                continue;
            }

            Picture primary = BenchPictures.Read(scene.Primary), secondary = BenchPictures.Read(scene.Secondary);
            primary = scene.Zoom < 0 ? Close(primary, -scene.Zoom) : primary;
            secondary = scene.Zoom > 1 ? Close(secondary, scene.Zoom) : secondary;
            List<(PicturePoint, PicturePoint)> places = TruePlaces.Find(scene);
            Correction natural = CorrectionFitting.Fit(Thin(True(places, scene, primary, secondary, secondary)), FitOptions.Default, default).Advised.Correction;
            foreach (Rendering rendering in renderings)
            {
                One(scene, places, primary, secondary, rendering, natural, kinds);
            }
        }

        foreach ((string a, string b) in words.Length == 0 || words.Contains("unlike") ? OverlapScene.Unlike : [])
        {
            SampleSet set = OverlapSampler.Sample(BenchPictures.Read(a), BenchPictures.Read(b));
            Console.WriteLine($"{Path.GetFileName(a)} / {Path.GetFileName(b)}: {set.Pairs.Length} pairs; refusal: {set.Refusal ?? "none"}; warnings: {string.Join(" ", set.Warnings)}");
        }

        return 0;
    }

    private static void One(
        OverlapScene scene, List<(PicturePoint, PicturePoint)> places, Picture primary, Picture secondary, Rendering rendering, Correction natural, bool kinds)
    {
        Picture seen = rendering.On(secondary);
        string name = $"{scene.Name} | {rendering.Name}{(rendering.Simple ? "" : " (not simple)")}";
        TimeSpan began = Process.GetCurrentProcess().TotalProcessorTime;
        SampleSet set = OverlapSampler.Sample(primary, seen);
        double seconds = (Process.GetCurrentProcess().TotalProcessorTime - began).TotalSeconds;
        string rejected = string.Join(" ", set.Rejected.Select(r => $"{r.Key} {r.Value}"));
        if (set.Refusal is not null)
        {
            Console.WriteLine($"| {name} | refused: {set.Refusal} | | | | | | | {seconds:0.0} | {rejected} |");
            return;
        }

        FitResult fit = CorrectionFitting.Fit(set, FitOptions.Default, default);
        SampleSet truth = True(places, scene, primary, secondary, seen);
        double best = CorrectionFitting.Fit(Thin(truth), FitOptions.Default with { Folds = 2 }, default).Candidates.Min(c => Left(truth, c.Correction));
        double elsewhere = Elsewhere(truth);
        IdentityCorrection identity = new(set.SecondaryEncoding, set.PrimaryEncoding);
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"| {name} | {set.Pairs.Length} | {Left(truth, identity):0.0} | {Left(truth, fit.Advised.Correction):0.00} | {best:0.00} | {elsewhere:0.00} | {Against(secondary, seen, fit.Advised.Correction, natural):0.00} | {fit.Advised.Correction.Kind.Name()} | {fit.Advised.Train.Mean:0.00} | {seconds:0.0} | {rejected} |{string.Concat(set.Warnings)}"));
        if (kinds)
        {
            Console.WriteLine("  " + string.Join(", ", fit.Candidates.Select(c => string.Create(CultureInfo.InvariantCulture, $"{c.Correction.Kind.Name()} {Left(truth, c.Correction):0.00} (train {c.Train.Mean:0.00}, cv {c.CrossValidated?.Mean:0.00}, against {Against(secondary, seen, c.Correction, natural):0.00})"))));
        }
    }

    private static SampleSet True(List<(PicturePoint, PicturePoint)> places, OverlapScene scene, Picture primary, Picture original, Picture rendered) =>
        new(primary.Encoding, rendered.Encoding, Tonematch.Samples.SamplingMethod.Given, [.. TruePlaces.Measure(places, scene.Zoom, primary, original, rendered)]);

    // The same without letting a correction know the places it is judged at: fitted on the white fields of a chessboard of
    // 8 by 6 over the primary, judged on the black ones, and the other way round; the best kind.
    private static double Elsewhere(SampleSet truth)
    {
        bool IsEven(SamplePair p) => p.Group.Split('-')[1..].Sum(n => int.Parse(n, CultureInfo.InvariantCulture)) % 2 == 0;
        SampleSet[] halves = [truth with { Pairs = [.. truth.Pairs.Where(IsEven)] }, truth with { Pairs = [.. truth.Pairs.Where(p => !IsEven(p))] }];
        if (halves.Any(h => h.Pairs.Length < 24))
        {
            return double.NaN;
        }

        FitResult[] fits = [.. halves.Select(h => CorrectionFitting.Fit(Thin(h), FitOptions.Default with { Folds = 2 }, default))];
        return fits[0].Candidates.Min(first => fits[1].Candidates.FirstOrDefault(c => c.Correction.Kind == first.Correction.Kind) is { } second
            ? ((Left(halves[1], first.Correction) * halves[1].Pairs.Length) + (Left(halves[0], second.Correction) * halves[0].Pairs.Length)) / truth.Pairs.Length
            : double.PositiveInfinity);
    }

    // Enough to fit to, evenly over the picture.
    private static SampleSet Thin(SampleSet set)
    {
        int every = (set.Pairs.Length / 300) + 1;
        return set with { Pairs = [.. set.Pairs.Where((_, i) => i % every == 0)] };
    }

    private static double Left(SampleSet truth, Correction correction) => truth.Pairs.Average(p => DeltaE2000.Between(
        SignalEncoding.Srgb.ToLab(p.Primary), SignalEncoding.Srgb.ToLab(correction.Apply(p.Secondary).Clamped())));

    // Every pixel of the secondary against the same photograph without the rendering.
    private static double Against(Picture original, Picture seen, Correction correction, Correction natural)
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

        return differences.Average();
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
}
