using OpenCvSharp;

namespace Tonematch.Vision.Charts;

/// <summary>A small compact area of one colour: perhaps a patch of a chart.</summary>
/// <param name="X">Centre, pixels from the left.</param>
/// <param name="Y">Centre, pixels from the top.</param>
/// <param name="Size">Square root of its area, pixels.</param>
internal readonly record struct FlatIsland(double X, double Y, double Size);

/// <summary>Finds compact areas of one colour that differ from their surroundings.</summary>
internal static class FlatIslands
{
    private const int Most = 4000;
    private const double SmallestSize = 6;

    // The smallest share of its upright box that a patch can fill: half of a box turned by 45 degrees and 3.2 times as
    // long as wide.
    private const double SmallestUprightShare = 0.15;
    private const double SmallestHullShare = 0.8;

    // Steps of 8-bit code values within 3 x 3 pixels below which a place counts as flat, from clean to grainy pictures.
    private static readonly int[] s_flatness = [6, 12, 24, 44];

    // Sides of the neighbourhood that patches may be brighter than, pixels.
    private static readonly int[] s_neighbourhoods = [31, 101];

    // Enlarging flattens, and only patches too small without it are still searched for.
    private const double Enlarged = 1.5;
    private static readonly int[] s_enlargedFlatness = [8, 20];
    private static readonly int[] s_enlargedNeighbourhoods = [31];

    /// <summary>
    /// The islands of a picture (8-bit blue, green, red), large and compact ones first, each only once.
    /// </summary>
    /// <param name="bgr">The picture.</param>
    /// <param name="enlargement">Its enlargement; in an enlarged picture, single specks are noise between the original pixels.</param>
    public static List<FlatIsland> Find(Mat bgr, double enlargement)
    {
        using Mat smooth = new(), rough = new(), mask = new();
        Cv2.MedianBlur(bgr, smooth, 3);
        (Mat steep, Mat bright) = ColourSteps.Of(smooth);
        using Mat steepest = steep, brightest = bright;
        List<(FlatIsland Island, double Fill)> found = [];
        Collector collector = new(found, Math.Max(bgr.Width, bgr.Height) / 4.0);
        foreach (int limit in enlargement >= Enlarged ? s_enlargedFlatness : s_flatness)
        {
            Cv2.Threshold(steepest, rough, limit, 1, ThresholdTypes.BinaryInv);
            WithoutSpecks(rough, mask, enlargement);
            collector.Collect(mask, 2);
        }

        // Patches brighter than the frame around them.
        foreach (int block in enlargement >= Enlarged ? s_enlargedNeighbourhoods : s_neighbourhoods)
        {
            Cv2.AdaptiveThreshold(brightest, rough, 1, AdaptiveThresholdTypes.MeanC, ThresholdTypes.Binary, block, -4);
            WithoutSpecks(rough, mask, enlargement);
            collector.Collect(mask, 0);
        }

        return Distinct(found, bgr.Width, bgr.Height);
    }

    // Most contours of a textured picture are specks, far too small for a patch, and each takes time.
    private static void WithoutSpecks(Mat rough, Mat mask, double enlargement)
    {
        if (enlargement < Enlarged)
        {
            Cv2.MedianBlur(rough, mask, 3);
            return;
        }

        // For a mask, the median over 5 x 5 pixels is the value of at least 13 of the 25; counting them is quicker than
        // sorting.
        Cv2.BoxFilter(rough, mask, MatType.CV_8UC1, new Size(5, 5), new Point(-1, -1), false, BorderTypes.Replicate);
        Cv2.Threshold(mask, mask, 12, 1, ThresholdTypes.Binary);
    }

    private sealed class Collector(List<(FlatIsland, double)> found, double largest)
    {
        private readonly MaskOutlines _outlines = new();
        private readonly OutlineShape.Measurer _shapes = new();

        // 'grow': how much smaller than the area the mask is, in pixels of its side.
        public void Collect(Mat mask, double grow)
        {
            _outlines.Follow(mask.AsSpan<byte>(), mask.Width, (corners, area) =>
            {
                // Outlines run through the centres of border pixels: half a pixel per side is missing.
                double size = Math.Sqrt(area) + 1;
                if (size >= SmallestSize && size <= largest && _shapes.Of(corners, area, SmallestUprightShare, SmallestHullShare) is OutlineShape hull)
                {
                    double solid = area / hull.Area, filled = area / ((hull.Shorter * hull.Longer) + 1e-9);
                    if (filled >= 0.5 && hull.Longer + 1 <= 3.2 * (hull.Shorter + 1))
                    {
                        found.Add((new FlatIsland(hull.X + 0.5, hull.Y + 0.5, size + grow), solid * filled * Math.Min(1, size / 14)));
                    }
                }
            });
        }
    }

    private static List<FlatIsland> Distinct(List<(FlatIsland Island, double Fill)> found, int width, int height)
    {
        found.Sort((a, b) => b.Fill.CompareTo(a.Fill));
        // Chains of islands in cells of 16 pixels.
        const double cell = 16;
        int columns = (int)(width / cell) + 1, rows = (int)(height / cell) + 1;
        int[] first = new int[columns * rows], next = new int[Most];
        Array.Fill(first, -1);
        List<FlatIsland> distinct = [];
        foreach ((FlatIsland island, _) in found)
        {
            if (distinct.Count >= Most)
            {
                break;
            }

            (int cx, int cy) = ((int)(island.X / cell), (int)(island.Y / cell));
            int reach = (int)(0.3 * island.Size / cell) + 1;
            bool known = false;
            for (int y = Math.Max(0, cy - reach); y <= Math.Min(rows - 1, cy + reach) && !known; y++)
            {
                for (int x = Math.Max(0, cx - reach); x <= Math.Min(columns - 1, cx + reach) && !known; x++)
                {
                    for (int i = first[(y * columns) + x]; i >= 0 && !known; i = next[i])
                    {
                        known = Same(distinct[i], island);
                    }
                }
            }

            if (!known)
            {
                int at = (cy * columns) + cx;
                (next[distinct.Count], first[at]) = (first[at], distinct.Count);
                distinct.Add(island);
            }
        }

        return distinct;
    }

    private static bool Same(FlatIsland a, FlatIsland b)
    {
        double dx = a.X - b.X, dy = a.Y - b.Y, size = Math.Min(a.Size, b.Size);
        return Math.Sqrt((dx * dx) + (dy * dy)) < 0.3 * size && Math.Max(a.Size, b.Size) < 1.6 * size;
    }
}
