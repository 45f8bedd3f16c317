using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Workbench.Api;

namespace Tonematch.Workbench.Pictures;

/// <summary>
/// The parts of camera B's picture whose colours are near no sample: there the correction is extrapolated from other
/// colours.
/// </summary>
internal static class UncoveredParts
{
    private const int Columns = 96, FewestCells = 12;

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
        bool[] large = LargeParts(far, width, height);
        return new UncoveredMessage([.. Edges(large, width, height)], Math.Round(far.Count(f => f) / (double)far.Length, 3));
    }

    // The sides of cells that border on the other kind of cell; collinear ones are joined.
    private static IEnumerable<double[]> Edges(bool[] part, int width, int height)
    {
        bool At(int x, int y) => x >= 0 && y >= 0 && x < width && y < height && part[(y * width) + x];
        for (int y = 0; y <= height; y++)
        {
            for (int x = 0, from = -1; x <= width; x++)
            {
                bool isEdge = x < width && At(x, y) != At(x, y - 1);
                if (isEdge && from < 0)
                {
                    from = x;
                }
                else if (!isEdge && from >= 0)
                {
                    yield return [(double)from / width, (double)y / height, (double)x / width, (double)y / height];
                    from = -1;
                }
            }
        }

        for (int x = 0; x <= width; x++)
        {
            for (int y = 0, from = -1; y <= height; y++)
            {
                bool isEdge = y < height && At(x, y) != At(x - 1, y);
                if (isEdge && from < 0)
                {
                    from = y;
                }
                else if (!isEdge && from >= 0)
                {
                    yield return [(double)x / width, (double)from / height, (double)x / width, (double)y / height];
                    from = -1;
                }
            }
        }
    }

    // Cells that touch belong together; a few alone are noise.
    private static bool[] LargeParts(bool[] far, int width, int height)
    {
        bool[] seen = new bool[far.Length], large = new bool[far.Length];
        for (int start = 0; start < far.Length; start++)
        {
            if (!far[start] || seen[start])
            {
                continue;
            }

            List<int> cells = [start];
            seen[start] = true;
            for (int i = 0; i < cells.Count; i++)
            {
                (int y, int x) = Math.DivRem(cells[i], width);
                foreach ((int nx, int ny) in ((int, int)[])[(x - 1, y), (x + 1, y), (x, y - 1), (x, y + 1)])
                {
                    int next = (ny * width) + nx;
                    if (nx >= 0 && ny >= 0 && nx < width && ny < height && far[next] && !seen[next])
                    {
                        seen[next] = true;
                        cells.Add(next);
                    }
                }
            }

            if (cells.Count >= FewestCells)
            {
                cells.ForEach(c => large[c] = true);
            }
        }

        return large;
    }
}
