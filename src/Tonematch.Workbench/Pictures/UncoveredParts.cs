using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Workbench.Api;

namespace Tonematch.Workbench.Pictures;

/// <summary>The parts of camera B's picture whose colours no sample is near: there the correction is carried over from other colours.</summary>
internal static class UncoveredParts
{
    private const int Columns = 64, FewestCells = 6, MostBoxes = 12;

    /// <summary>Finds them in one picture.</summary>
    public static UncoveredMessage Of(Picture picture, SampleSet samples)
    {
        Picture small = PictureScale.ToSmall(picture, Columns);
        Lab[] sampled = [.. samples.Pairs.Select(p => samples.SecondaryEncoding.ToLab(p.Secondary))];
        int width = small.Width, height = small.Height;
        bool[] far = new bool[width * height];
        Parallel.For(0, far.Length, i =>
        {
            CodeRgb code = new(small.R[i], small.G[i], small.B[i]);
            far[i] = code.IsFinite && !ColourStatistics.Clips(code) && !Array.Exists(sampled, s => ColourCoverage.IsNear(s, samples.SecondaryEncoding.ToLab(code)));
        });
        return new UncoveredMessage(
            [.. Parts(far, width, height).OrderByDescending(p => p.Count).Take(MostBoxes).Select(p => (double[])[
                (double)p.Left / width, (double)p.Top / height, (double)(p.Right - p.Left + 1) / width, (double)(p.Bottom - p.Top + 1) / height])],
            Math.Round(far.Count(f => f) / (double)far.Length, 3));
    }

    // Cells that touch belong together; single cells are noise.
    private static IEnumerable<(int Left, int Top, int Right, int Bottom, int Count)> Parts(bool[] far, int width, int height)
    {
        bool[] seen = new bool[far.Length];
        Stack<int> open = new();
        for (int start = 0; start < far.Length; start++)
        {
            if (!far[start] || seen[start])
            {
                continue;
            }

            (int left, int top, int right, int bottom, int count) = (width, height, 0, 0, 0);
            open.Push(start);
            seen[start] = true;
            while (open.TryPop(out int at))
            {
                (int y, int x) = Math.DivRem(at, width);
                (left, right, top, bottom, count) = (Math.Min(left, x), Math.Max(right, x), Math.Min(top, y), Math.Max(bottom, y), count + 1);
                foreach ((int nx, int ny) in ((int, int)[])[(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)])
                {
                    int next = (ny * width) + nx;
                    if (nx >= 0 && ny >= 0 && nx < width && ny < height && far[next] && !seen[next])
                    {
                        seen[next] = true;
                        open.Push(next);
                    }
                }
            }

            if (count >= FewestCells)
            {
                yield return (left, top, right, bottom, count);
            }
        }
    }
}
