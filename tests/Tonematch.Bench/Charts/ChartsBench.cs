using System.Diagnostics;
using Tonematch.Charts;
using Tonematch.Pictures;
using Tonematch.Vision.Charts;

namespace Tonematch.Bench.Charts;

/// <summary>Found, missed and falsely found charts, beside OpenCV's detector on the same pictures.</summary>
internal static class ChartsBench
{
    public static int Run(string[] args)
    {
        foreach (string path in args)
        {
            Picture p = BenchPictures.Read(path);
            Stopwatch watch = Stopwatch.StartNew();
            ChartSearch search = ChartFinder.Find(p, ChartReference.Chart24);
            string text = search is ChartFound f
                ? $"found: explained {f.Match.ExplainedShare:0.000}, in line {f.Match.AgreeingCount}, residual {f.Match.ResidualDeltaE:0.00}, usable {f.Chart.UsableCount}, corners {string.Join(" ", f.Chart.Geometry.Corners.Select(c => $"({c.X:0},{c.Y:0})"))} {string.Join(",", f.Chart.Patches.Where(q => q.Fault != null).Select(q => q.Index + 1 + q.Fault))}"
                : "not found";
            Console.WriteLine($"{Path.GetFileName(path)} {p.Width}x{p.Height} {watch.ElapsedMilliseconds} ms: {text}");
        }

        return 0;
    }
}
