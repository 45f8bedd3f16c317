using OpenCvSharp;
using Tonematch.Numerics;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Finds flat patches of the primary in the secondary: the surrounding matches predict the place, and the structure
/// around the patch confirms and refines it.
/// </summary>
internal sealed class PatchSearch
{
    /// <summary>Side of a patch in the smaller of its two views, working pixels.</summary>
    public const int PatchSide = 11;

    // Standard deviation of the 8-bit code values within a patch: a flat surface with shading and noise, or with a
    // little texture, whose mean is equally good if the place is accurate.
    private const double FlatDeviation = 11;
    private const double LargestDeviation = 18;

    // Smallest correlation of the normalised structure around a patch in both views.
    private const double SmallestCorrelation = 0.8;

    // Required correlation for a textured patch, and for a patch to serve as a common point where those are rare.
    private const double SureCorrelation = 0.85;
    private const double LeadingCorrelation = 0.9;

    // A place at the edge of the search area must correlate this much better than one at the expected place, because
    // along an edge many places correlate equally well.
    private const double FarPenalty = 0.15;

    // Standard deviation of the equalised brightness around a patch, below which there is only noise.
    private const double SmallestStructure = 7;
    private const int MostPlaces = 2000;
    private const double ColourCell = 10;
    private const int Rounds = 4;

    // Side of the blocks that are marked as shared with the secondary or not, working pixels.
    private const int Block = 32;

    private readonly WorkingPicture _primary;
    private readonly WorkingPicture _secondary;
    private readonly List<FeatureMatch> _matches;
    private readonly Mat[] _secondaryLevels;
    private readonly SortedDictionary<string, int> _rejected;
    private readonly StructureCorrelation _correlation = new();

    public PatchSearch(WorkingPicture primary, WorkingPicture secondary, IReadOnlyList<FeatureMatch> matches, SortedDictionary<string, int> rejected)
    {
        (_primary, _secondary, _matches, _rejected) = (primary, secondary, [.. matches], rejected);
        Mat half = new(), quarter = new();
        Cv2.PyrDown(secondary.Luma, half);
        Cv2.PyrDown(half, quarter);
        _secondaryLevels = [secondary.Luma, half, quarter];
    }

    /// <summary>The patches that both see, measured in the full pictures.</summary>
    public List<OverlapPatch> Find(CancellationToken cancel)
    {
        double scale = Median.Of(_matches.Select(m => m.Scale));
        int side = (int)Math.Ceiling(PatchSide / Math.Clamp(scale, 0.25, 1)) | 1;
        double reach = 0.08 * Math.Max(_primary.Luma.Width, _primary.Luma.Height);
        List<OverlapPatch> found = [];
        List<(PicturePoint Place, bool Flat)> open = Places(side, Shared(reach));
        for (int round = 0; round < Rounds && open.Count > 0; round++)
        {
            // Confirmed patches lead on to places beyond the common points.
            List<(PicturePoint Place, bool Flat)> beyond = [];
            List<FeatureMatch> confirmed = [];
            foreach ((PicturePoint place, bool flat) in open)
            {
                cancel.ThrowIfCancellationRequested();
                if (LocalMapping.Around(place, _matches, reach) is not LocalMapping predicted)
                {
                    beyond.Add((place, flat));
                    continue;
                }

                if (Confirm(predicted, side, flat ? SmallestCorrelation : SureCorrelation) is not (LocalMapping mapping, double correlation))
                {
                    continue;
                }

                if (correlation >= LeadingCorrelation)
                {
                    confirmed.Add(new FeatureMatch(mapping.Centre, mapping.Image, mapping.Scale, mapping.TurnDegrees));
                }

                if (Measure(mapping, side, correlation) is OverlapPatch patch)
                {
                    found.Add(patch);
                }
            }

            open = beyond;
            if (confirmed.Count == 0)
            {
                break;
            }

            _matches.AddRange(confirmed);
        }

        Reject("no matches near", open.Count);
        _secondaryLevels[1].Dispose();
        _secondaryLevels[2].Dispose();
        return found;
    }

    private void Reject(string reason, int count = 1)
    {
        if (count > 0)
        {
            _rejected[reason] = _rejected.GetValueOrDefault(reason) + count;
        }
    }

    // Whether the secondary seems to show the surroundings of a place of the primary: with a close view and a wide one,
    // only places seen by both should be examined, including those the rounds may reach beyond the matches.
    private Func<int, int, bool> Shared(double reach)
    {
        int columns = (_primary.Luma.Width / Block) + 1, rows = (_primary.Luma.Height / Block) + 1, beyond = (int)(reach / Block) + 1;
        bool[] seen = new bool[columns * rows];
        for (int i = 0; i < seen.Length; i++)
        {
            PicturePoint centre = new(((i % columns) + 0.5) * Block, ((i / columns) + 0.5) * Block);
            seen[i] = LocalMapping.Around(centre, _matches, reach) is LocalMapping m && Shows(m, Block);
        }

        bool[] shared = new bool[columns * rows];
        for (int i = 0; i < seen.Length; i++)
        {
            for (int y = Math.Max(0, (i / columns) - beyond); seen[i] && y <= Math.Min(rows - 1, (i / columns) + beyond); y++)
            {
                for (int x = Math.Max(0, (i % columns) - beyond); x <= Math.Min(columns - 1, (i % columns) + beyond); x++)
                {
                    shared[(y * columns) + x] = true;
                }
            }
        }

        return (x, y) => shared[(y / Block * columns) + (x / Block)];
    }

    // Whether any corner of a square around a place lies within the secondary.
    private bool Shows(LocalMapping mapping, int half)
    {
        foreach ((int sx, int sy) in (ReadOnlySpan<(int, int)>)[(0, 0), (-1, -1), (1, -1), (-1, 1), (1, 1)])
        {
            PicturePoint c = mapping.Map(mapping.Centre.X + (sx * half), mapping.Centre.Y + (sy * half));
            if (c.X >= 0 && c.Y >= 0 && c.X < _secondary.Luma.Width && c.Y < _secondary.Luma.Height)
            {
                return true;
            }
        }

        return false;
    }

    // The flattest place in each cell of a patch's size, if it is flat enough. If there are too many, the available
    // number is divided evenly among the colours, so that rare colours are not lost among common ones.
    private List<(PicturePoint Place, bool Flat)> Places(int side, Func<int, int, bool> isShared)
    {
        using Mat deviation = Deviation(_primary.Colour, side), small = new(), lab = new();
        Cv2.Blur(_primary.Colour, small, new Size(side, side));
        Cv2.CvtColor(small, lab, ColorConversionCodes.BGR2Lab);
        deviation.GetArray(out float[] values);
        lab.GetArray(out Vec3b[] colours);
        int width = deviation.Width, height = deviation.Height, half = side / 2;
        Dictionary<(int, int, int), List<(PicturePoint Place, bool Flat)>> byColour = [];
        int step = Math.Max(4, side * 2 / 3);
        for (int top = half; top + half < height; top += step)
        {
            for (int left = half; left + half < width; left += step)
            {
                if (!isShared(left, top))
                {
                    Reject("no matches near");
                    continue;
                }

                (float best, int bx, int by) = (float.PositiveInfinity, 0, 0);
                for (int y = top; y < Math.Min(top + step, height - half); y++)
                {
                    for (int x = left; x < Math.Min(left + step, width - half); x++)
                    {
                        float v = values[(y * width) + x];
                        (best, bx, by) = v < best ? (v, x, y) : (best, bx, by);
                    }
                }

                if (best > LargestDeviation)
                {
                    Reject("edge");
                    continue;
                }

                Vec3b c = colours[(by * width) + bx];
                (int, int, int) cell = ((int)(c.Item0 / 2.55 / ColourCell), (int)Math.Round((c.Item1 - 128) / ColourCell), (int)Math.Round((c.Item2 - 128) / ColourCell));
                if (!byColour.TryGetValue(cell, out List<(PicturePoint, bool)>? list))
                {
                    byColour[cell] = list = [];
                }

                list.Add((new PicturePoint(bx + 0.5, by + 0.5), best <= FlatDeviation));
            }
        }

        return ShareOut(byColour.Values);
    }

    private static List<(PicturePoint Place, bool Flat)> ShareOut(IEnumerable<List<(PicturePoint Place, bool Flat)>> byColour)
    {
        List<(PicturePoint, bool)> shared = [];
        List<(PicturePoint Place, bool Flat)>[] colours = [.. byColour.OrderBy(c => c.Count)];
        for (int i = 0; i < colours.Length; i++)
        {
            List<(PicturePoint Place, bool Flat)> all = [.. colours[i].OrderByDescending(p => p.Flat)];
            int room = Math.Min(all.Count, (MostPlaces - shared.Count) / (colours.Length - i));
            int flat = all.Count(p => p.Flat), from = flat >= room ? flat : all.Count;
            // Spread evenly over the picture, from the flat ones if there are enough.
            shared.AddRange(Enumerable.Range(0, room).Select(k => all[(int)((long)k * from / room)]));
        }

        return shared;
    }

    private static Mat Deviation(Mat colour, int side)
    {
        using Mat f = new(), mean = new(), square = new(), meanSquare = new();
        colour.ConvertTo(f, MatType.CV_32FC3);
        Cv2.Blur(f, mean, new Size(side, side));
        Cv2.Multiply(f, f, square);
        Cv2.Blur(square, meanSquare, new Size(side, side));
        Cv2.Multiply(mean, mean, mean);
        Cv2.Subtract(meanSquare, mean, meanSquare);
        Mat[] channels = Cv2.Split(meanSquare);
        Mat largest = new();
        Cv2.Max(channels[0], channels[1], largest);
        Cv2.Max(largest, channels[2], largest);
        Array.ForEach(channels, c => c.Dispose());
        Cv2.Max(largest, 0, largest);
        Cv2.Sqrt(largest, largest);
        return largest;
    }

    // Searches for the structure around the patch, three and then five patches wide, near the predicted place.
    private (LocalMapping Mapping, double Correlation)? Confirm(LocalMapping predicted, int side, double smallest)
    {
        string reason = "no structure";
        foreach (int widths in (ReadOnlySpan<int>)[3, 5])
        {
            int half = side * widths / 2, search = (int)Math.Ceiling(Math.Clamp((2 * predicted.ErrorPixels / predicted.Scale) + 3, 4, side));
            int x = (int)predicted.Centre.X, y = (int)predicted.Centre.Y;
            Rect window = new(x - half, y - half, (2 * half) + 1, (2 * half) + 1);
            if (window.Left < 0 || window.Top < 0 || window.Right > _primary.Luma.Width || window.Bottom > _primary.Luma.Height)
            {
                reason = reason == "no structure" ? "outside" : reason;
                continue;
            }

            using Mat part = new(_primary.Luma, window), template = part.Clone();
            Cv2.MeanStdDev(template, out _, out Scalar structure);
            if (structure.Val0 < SmallestStructure)
            {
                continue;
            }

            using Mat view = View(predicted, half + search);
            if (view.Empty())
            {
                reason = "outside";
                continue;
            }

            (double best, Point at) = Best(_correlation.Of(view, template), search);
            if (best < smallest)
            {
                reason = "mismatched";
                continue;
            }

            if (Math.Abs(at.X - search) == search || Math.Abs(at.Y - search) == search)
            {
                reason = "mismatched";
                continue;
            }

            return (predicted.Moved(at.X - search, at.Y - search), best);
        }

        Reject(reason);
        return null;
    }

    private static (double Correlation, Point At) Best(double[] values, int search)
    {
        int side = (2 * search) + 1;
        (double best, double highest, Point at) = (-1, -1, new Point(search, search));
        for (int y = 0; y < side; y++)
        {
            for (int x = 0; x < side; x++)
            {
                double far = (((x - search) * (x - search)) + ((y - search) * (y - search))) / (double)(search * search);
                double worth = values[(y * side) + x] - (FarPenalty * far);
                (best, highest, at) = worth > highest ? (values[(y * side) + x], worth, new Point(x, y)) : (best, highest, at);
            }
        }

        return (best, at);
    }

    // The secondary around the predicted place, warped to the primary's view; empty if part of it lies outside.
    private Mat View(LocalMapping mapping, int half)
    {
        int level = mapping.Scale >= 3 ? 2 : mapping.Scale >= 1.5 ? 1 : 0;
        double k = 1.0 / (1 << level);
        foreach ((int sx, int sy) in (ReadOnlySpan<(int, int)>)[(-1, -1), (1, -1), (-1, 1), (1, 1)])
        {
            PicturePoint c = mapping.Map(mapping.Centre.X + (sx * half), mapping.Centre.Y + (sy * half));
            if (!(c.X >= 0 && c.Y >= 0 && c.X < _secondary.Luma.Width && c.Y < _secondary.Luma.Height))
            {
                return new Mat();
            }
        }

        // OpenCV counts from pixel centres.
        double u0 = mapping.Image.X - (mapping.Xx * half) - (mapping.Xy * half), v0 = mapping.Image.Y - (mapping.Yx * half) - (mapping.Yy * half);
        double[] m = [k * mapping.Xx, k * mapping.Xy, (k * u0) - 0.5, k * mapping.Yx, k * mapping.Yy, (k * v0) - 0.5];
        using Mat affine = Mat.FromPixelData(2, 3, MatType.CV_64FC1, m);
        Mat view = new();
        int side = (2 * half) + 1;
        Cv2.WarpAffine(_secondaryLevels[level], view, affine, new Size(side, side), InterpolationFlags.Linear | InterpolationFlags.WarpInverseMap, BorderTypes.Replicate);
        return view;
    }

    private OverlapPatch? Measure(LocalMapping mapping, int side, double correlation)
    {
        // Slightly inside the patch, because the place is accurate to about a pixel.
        double half = 0.42 * side;
        PicturePoint c = mapping.Centre;
        PicturePoint[] square = [new(c.X - half, c.Y - half), new(c.X + half, c.Y - half), new(c.X + half, c.Y + half), new(c.X - half, c.Y + half)];
        PicturePoint[] p = [.. square.Select(_primary.ToPicture)];
        PicturePoint[] s = [.. square.Select(q => _secondary.ToPicture(mapping.Map(q.X, q.Y)))];
        if (PolygonSampler.Measure(_primary.Picture, p) is not ColourStatistics mp || PolygonSampler.Measure(_secondary.Picture, s) is not ColourStatistics ms)
        {
            Reject("outside");
            return null;
        }

        if (mp.IsClipped || ms.IsClipped)
        {
            Reject("clipped");
            return null;
        }

        const double uneven = 1.3 * LargestDeviation / 255;
        if (Largest(mp) > uneven || Largest(ms) > uneven)
        {
            Reject("edge");
            return null;
        }

        if (IsGlint(c, side, _primary.Colour) || IsGlint(mapping.Image, (int)Math.Ceiling(side * mapping.Scale), _secondary.Colour))
        {
            Reject("specular");
            return null;
        }

        return new OverlapPatch(mp, ms, PictureBox.Around(p), PictureBox.Around(s), correlation);
    }

    private static double Largest(ColourStatistics s) => Math.Max(s.Spread.R, Math.Max(s.Spread.G, s.Spread.B));

    // A reflection of the light: much brighter than its surroundings and less saturated.
    private static bool IsGlint(PicturePoint centre, int side, Mat colour)
    {
        Rect inner = Around(centre, side / 2, colour), outer = Around(centre, side * 3 / 2, colour);
        using Mat i = new(colour, inner), o = new(colour, outer);
        Scalar a = Cv2.Mean(i), b = Cv2.Mean(o);
        double bright = Math.Max(a.Val0, Math.Max(a.Val1, a.Val2)), around = Math.Max(b.Val0, Math.Max(b.Val1, b.Val2));
        double chroma = bright - Math.Min(a.Val0, Math.Min(a.Val1, a.Val2)), chromaAround = around - Math.Min(b.Val0, Math.Min(b.Val1, b.Val2));
        return bright > 170 && bright > around + 60 && chroma < 0.5 * chromaAround;
    }

    private static Rect Around(PicturePoint c, int half, Mat m)
    {
        int left = Math.Clamp((int)c.X - half, 0, m.Width - 1), top = Math.Clamp((int)c.Y - half, 0, m.Height - 1);
        int right = Math.Clamp((int)c.X + half, left, m.Width - 1), bottom = Math.Clamp((int)c.Y + half, top, m.Height - 1);
        return new Rect(left, top, right - left + 1, bottom - top + 1);
    }
}
