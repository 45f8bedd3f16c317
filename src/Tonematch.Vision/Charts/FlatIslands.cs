using OpenCvSharp;

namespace Tonematch.Vision.Charts;

/// <summary>A small compact area of one colour: perhaps a patch of a chart.</summary>
/// <param name="X">Centre, pixels from the left.</param>
/// <param name="Y">Centre, pixels from the top.</param>
/// <param name="Size">Square root of its area, pixels.</param>
internal readonly record struct FlatIsland(double X, double Y, double Size);

/// <summary>Finds compact areas of one colour that are set off from what is around them.</summary>
internal static class FlatIslands
{
    private const int Most = 4000;
    private const double SmallestSize = 6;

    // Steps of 8-bit code value within 3 x 3 pixels below which a place counts as flat: clean to grainy pictures.
    private static readonly int[] s_flatness = [6, 12, 24, 44];

    // Sides of the neighbourhood that patches may be brighter than, pixels.
    private static readonly int[] s_neighbourhoods = [31, 101];

    // Enlarging flattens, and only what is too small without it is still looked for.
    private const double Enlarged = 1.5;
    private static readonly int[] s_enlargedFlatness = [8, 20];
    private static readonly int[] s_enlargedNeighbourhoods = [31];

    /// <summary>The islands of a picture (8-bit blue, green, red), the large and compact first, each once.</summary>
    /// <param name="bgr">The picture.</param>
    /// <param name="enlargement">How much it was enlarged: where it was, single specks are noise between its pixels.</param>
    public static List<FlatIsland> Find(Mat bgr, double enlargement)
    {
        using Mat smooth = new(), gradient = new();
        Cv2.MedianBlur(bgr, smooth, 3);
        using Mat square = Cv2.GetStructuringElement(MorphShapes.Rect, new Size(3, 3));
        Cv2.MorphologyEx(smooth, gradient, MorphTypes.Gradient, square);
        using Mat steepest = Largest(gradient), brightest = Largest(smooth), mask = new();
        List<(FlatIsland Island, double Fill)> found = [];
        double largest = Math.Max(bgr.Width, bgr.Height) / 4.0;
        foreach (int limit in enlargement >= Enlarged ? s_enlargedFlatness : s_flatness)
        {
            Cv2.Threshold(steepest, mask, limit, 255, ThresholdTypes.BinaryInv);
            WithoutSpecks(mask, enlargement);
            Collect(mask, 2, largest, found);
        }

        // Patches brighter than the frame around them.
        foreach (int block in enlargement >= Enlarged ? s_enlargedNeighbourhoods : s_neighbourhoods)
        {
            Cv2.AdaptiveThreshold(brightest, mask, 255, AdaptiveThresholdTypes.MeanC, ThresholdTypes.Binary, block, -4);
            WithoutSpecks(mask, enlargement);
            Collect(mask, 0, largest, found);
        }

        return Distinct(found);
    }

    private static Mat Largest(Mat threeChannels)
    {
        Mat[] channels = Cv2.Split(threeChannels);
        Mat largest = new();
        Cv2.Max(channels[0], channels[1], largest);
        Cv2.Max(largest, channels[2], largest);
        Array.ForEach(channels, c => c.Dispose());
        return largest;
    }

    // Most contours of a textured picture are specks, far too small for a patch, and each costs its time.
    private static void WithoutSpecks(Mat mask, double enlargement) =>
        Cv2.MedianBlur(mask, mask, enlargement >= Enlarged ? 5 : 3);

    // 'grow': how much smaller than the area the mask is, in pixels of its side.
    private static void Collect(Mat mask, double grow, double largest, List<(FlatIsland, double)> found)
    {
        Cv2.FindContours(mask, out Point[][] contours, out _, RetrievalModes.List, ContourApproximationModes.ApproxSimple);
        foreach (Point[] contour in contours)
        {
            // Contours run through the centres of border pixels: half a pixel a side is missing.
            double area = Area(contour);
            double size = Math.Sqrt(area) + 1;
            if (size < SmallestSize || size > largest)
            {
                continue;
            }

            Point[] hull = Cv2.ConvexHull(contour);
            double hullArea = Cv2.ContourArea(hull);
            RotatedRect box = Cv2.MinAreaRect(hull);
            double shorter = Math.Min(box.Size.Width, box.Size.Height) + 1, longer = Math.Max(box.Size.Width, box.Size.Height) + 1;
            double solid = hullArea > 0 ? area / hullArea : 0, filled = area / ((shorter - 1) * (longer - 1) + 1e-9);
            if (solid < 0.8 || filled < 0.5 || longer > 3.2 * shorter)
            {
                continue;
            }

            Moments m = Cv2.Moments(hull);
            if (m.M00 > 0)
            {
                found.Add((new FlatIsland((m.M10 / m.M00) + 0.5, (m.M01 / m.M00) + 0.5, size + grow), solid * filled * Math.Min(1, size / 14)));
            }
        }
    }

    // Of a polygon, by its corners (the shoelace formula).
    private static double Area(Point[] contour)
    {
        long twice = 0;
        Point last = contour[^1];
        foreach (Point p in contour)
        {
            twice += ((long)last.X * p.Y) - ((long)p.X * last.Y);
            last = p;
        }

        return Math.Abs(twice) / 2.0;
    }

    private static List<FlatIsland> Distinct(List<(FlatIsland Island, double Fill)> found)
    {
        found.Sort((a, b) => b.Fill.CompareTo(a.Fill));
        List<FlatIsland> distinct = [];
        const double cell = 16;
        Dictionary<(int, int), List<FlatIsland>> near = [];
        foreach ((FlatIsland island, _) in found)
        {
            if (distinct.Count >= Most)
            {
                break;
            }

            (int cx, int cy) = ((int)(island.X / cell), (int)(island.Y / cell));
            int reach = (int)(0.3 * island.Size / cell) + 1;
            bool known = false;
            for (int y = cy - reach; y <= cy + reach && !known; y++)
            {
                for (int x = cx - reach; x <= cx + reach && !known; x++)
                {
                    known = near.TryGetValue((x, y), out List<FlatIsland>? list) && list.Exists(o => Same(o, island));
                }
            }

            if (known)
            {
                continue;
            }

            distinct.Add(island);
            if (!near.TryGetValue((cx, cy), out List<FlatIsland>? here))
            {
                near[(cx, cy)] = here = [];
            }

            here.Add(island);
        }

        return distinct;
    }

    private static bool Same(FlatIsland a, FlatIsland b)
    {
        double dx = a.X - b.X, dy = a.Y - b.Y, size = Math.Min(a.Size, b.Size);
        return Math.Sqrt((dx * dx) + (dy * dy)) < 0.3 * size && Math.Max(a.Size, b.Size) < 1.6 * size;
    }
}
