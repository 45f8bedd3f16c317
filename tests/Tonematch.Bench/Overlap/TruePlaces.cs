using System.Diagnostics;
using System.Globalization;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Bench.Overlap;

/// <summary>Places that truly correspond in two photographs, found without the sampler, and what both recorded there.</summary>
internal static class TruePlaces
{
    private const int Most = 3000;

    // Half of a place's side in the photographs as they are, pixels.
    private const double Half = 2.5;

    // Where the colour changes within the place, half a pixel of displacement would be taken for a wrong colour.
    private const double LargestSpread = 12.0 / 255;

    /// <summary>The places in both photographs, pixels.</summary>
    public static List<(PicturePoint Primary, PicturePoint Secondary)> Find(OverlapScene scene)
    {
        string script = Path.Combine(AppContext.BaseDirectory, "true_places.py"), result = Path.GetTempFileName();
        ProcessStartInfo start = new("/usr/bin/python3") { RedirectStandardError = true };
        foreach (string a in (string[])[script, result, scene.How, scene.Primary, scene.Secondary, .. scene.Measured.Length > 0 ? new[] { scene.Measured } : []])
        {
            start.ArgumentList.Add(a);
        }

        using Process process = Process.Start(start)!;
        string error = process.StandardError.ReadToEnd();
        process.WaitForExit();
        if (process.ExitCode != 0)
        {
            throw new InvalidOperationException(error);
        }

        List<(PicturePoint, PicturePoint)> places = [];
        foreach (string line in File.ReadLines(result))
        {
            double[] v = [.. line.Split(',').Select(t => double.Parse(t, CultureInfo.InvariantCulture))];
            places.Add((new(v[0], v[1]), new(v[2], v[3])));
        }

        File.Delete(result);
        return places;
    }

    /// <summary>
    /// What both pictures recorded at the flat and unclipped ones of the places, evenly thinned to some thousand. The
    /// pictures may be cut and enlarged; those places are left out that then lie outside, or clip in
    /// <paramref name="rendered"/> or <paramref name="original"/>.
    /// </summary>
    public static List<SamplePair> Measure(
        IReadOnlyList<(PicturePoint Primary, PicturePoint Secondary)> places, double zoom, Picture primary, Picture original, Picture rendered)
    {
        List<SamplePair> pairs = [];
        double zp = zoom < 0 ? -zoom : 1, zs = zoom > 1 ? zoom : 1;
        foreach ((PicturePoint p, PicturePoint s) in places)
        {
            if (Flat(primary, Zoomed(p, zp, primary), Half * zp) is ColourStatistics a
                && Flat(original, Zoomed(s, zs, original), Half * zs) is not null
                && Flat(rendered, Zoomed(s, zs, rendered), Half * zs) is ColourStatistics b)
            {
                string group = string.Create(CultureInfo.InvariantCulture, $"area-{(int)(8 * p.X / primary.Width)}-{(int)(6 * p.Y / primary.Height)}");
                pairs.Add(new SamplePair(string.Create(CultureInfo.InvariantCulture, $"true-{pairs.Count}"), group, a.Mean, b.Mean));
            }
        }

        double every = Math.Max(1, (double)pairs.Count / Most);
        return [.. Enumerable.Range(0, (int)(pairs.Count / every)).Select(i => pairs[(int)(i * every)])];
    }

    private static PicturePoint Zoomed(PicturePoint p, double zoom, Picture picture)
    {
        int w = (int)(picture.Width / zoom), h = (int)(picture.Height / zoom);
        return new PicturePoint(
            (p.X - ((picture.Width - w) / 2)) * picture.Width / w, (p.Y - ((picture.Height - h) / 2)) * picture.Height / h);
    }

    private static ColourStatistics? Flat(Picture picture, PicturePoint p, double half)
    {
        if (p.X < half || p.Y < half || p.X > picture.Width - half || p.Y > picture.Height - half)
        {
            return null;
        }

        ColourStatistics? s = PolygonSampler.Measure(picture, [new(p.X - half, p.Y - half), new(p.X + half, p.Y - half), new(p.X + half, p.Y + half), new(p.X - half, p.Y + half)]);
        return s is ColourStatistics f && !f.IsClipped && Math.Max(f.Spread.R, Math.Max(f.Spread.G, f.Spread.B)) <= LargestSpread ? f : null;
    }
}
