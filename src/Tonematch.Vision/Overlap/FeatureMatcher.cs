using OpenCvSharp;
using OpenCvSharp.Features2D;
using Tonematch.Numerics;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Finds points that two pictures of one scene share: SIFT (D. Lowe, IJCV 60(2), 2004; root-normalised after R.
/// Arandjelovic and A. Zisserman, CVPR 2012), ratio test both ways, epipolar geometry by MAGSAC++ (D. Barath et al.,
/// CVPR 2020), and agreement with the neighbours, because parallax is normal but never erratic.
/// </summary>
internal static class FeatureMatcher
{
    // Small pictures are searched first, which is several times quicker and usually enough.
    private const int SmallSide = 600;
    private const int MostSmallFeatures = 2000;
    private const int EnoughMatches = 200;
    private const double EnoughAgreeing = 0.4;
    private const int MostFeatures = 5000;

    // If one view is this much closer and matches are few, only the part of the wide view that the close one shows is
    // searched.
    private const double ZoomRatio = 1.5;
    private const int FewestToZoom = 24;
    private const int ZoomSide = 800;
    private const int MostZoomedFeatures = 4000;
    private const double ZoomMargin = 0.1;
    private const double Ratio = 0.82;
    private const double GuidedRatio = 0.85;
    private const int GuidedRounds = 4;
    private const int FewestToGuide = 16;
    private const double EpipolarPixels = 2.5;
    private const int Neighbours = 8;
    private const int FewestClose = 3;

    /// <summary>The matches, and the number of candidates.</summary>
    public sealed record Result(List<FeatureMatch> Matches, int Candidates);

    public static Result Match(WorkingPicture primary, WorkingPicture secondary, CancellationToken cancel)
    {
        double small = (double)SmallSide / Math.Max(Longest(primary.Luma), Longest(secondary.Luma));
        if (small < 0.8)
        {
            Result quick = Match(new Part(primary.Luma, small), new Part(secondary.Luma, small), MostSmallFeatures, cancel);
            quick = IsEnough(quick) ? quick : Zoomed(quick, primary.Luma, secondary.Luma, cancel);
            if (IsEnough(quick))
            {
                return quick;
            }
        }

        Result whole = Match(new Part(primary.Luma, 1), new Part(secondary.Luma, 1), MostFeatures, cancel);
        return IsEnough(whole) ? whole : Zoomed(whole, primary.Luma, secondary.Luma, cancel);
    }

    private static bool IsEnough(Result found) => found.Matches.Count >= EnoughMatches && found.Matches.Count >= EnoughAgreeing * found.Candidates;

    // With a close view and a wide one, few features of the wide view are in the area of the close one, and all the
    // others compete with them. If only that area is used, at the size of the close view, all features belong to what
    // both show.
    private static Result Zoomed(Result known, Mat primary, Mat secondary, CancellationToken cancel)
    {
        double scale = known.Matches.Count < FewestToZoom ? 1 : Median.Of(known.Matches.Select(m => m.Scale));
        if (scale is < ZoomRatio and > 1 / ZoomRatio)
        {
            return known;
        }

        bool isPrimaryWide = scale > 1;
        Mat close = isPrimaryWide ? secondary : primary, wide = isPrimaryWide ? primary : secondary;
        List<FeatureMatch> seen = isPrimaryWide ? [.. known.Matches.Select(Swapped)] : known.Matches;
        double smaller = isPrimaryWide ? 1 / scale : scale, size = Math.Min(1, (double)ZoomSide / Longest(close));
        Part whole = new(close, size), part = new(wide, size / smaller) { Area = ShownBy(close, seen, smaller, wide) };
        (Part p, Part s) = isPrimaryWide ? (part, whole) : (whole, part);
        Result zoomed = Match(p, s, MostZoomedFeatures, cancel);
        return zoomed.Matches.Count > known.Matches.Count && zoomed.Matches.Count >= EnoughAgreeing * zoomed.Candidates ? zoomed : known;
    }

    // The position of the close view's corners in the wide one, extrapolated from the centre of the matches, plus a
    // margin, because objects nearer or further than most appear elsewhere.
    private static Rect ShownBy(Mat close, List<FeatureMatch> matches, double scale, Mat wide)
    {
        PicturePoint from = new(matches.Average(m => m.Primary.X), matches.Average(m => m.Primary.Y));
        PicturePoint to = new(matches.Average(m => m.Secondary.X), matches.Average(m => m.Secondary.Y));
        double x = matches.Average(m => Math.Cos(m.TurnDegrees * Math.PI / 180)), y = matches.Average(m => Math.Sin(m.TurnDegrees * Math.PI / 180));
        (double cos, double sin) = (scale * x / Math.Sqrt((x * x) + (y * y)), scale * y / Math.Sqrt((x * x) + (y * y)));
        PicturePoint[] corners = [.. new (int X, int Y)[] { (0, 0), (close.Width, 0), (close.Width, close.Height), (0, close.Height) }.Select(c => new PicturePoint(
            to.X + (cos * (c.X - from.X)) - (sin * (c.Y - from.Y)), to.Y + (sin * (c.X - from.X)) + (cos * (c.Y - from.Y))))];
        double more = ZoomMargin * scale * Longest(close);
        int left = (int)Math.Clamp(corners.Min(c => c.X) - more, 0, wide.Width - 1), right = (int)Math.Clamp(corners.Max(c => c.X) + more, left + 1, wide.Width);
        int top = (int)Math.Clamp(corners.Min(c => c.Y) - more, 0, wide.Height - 1), bottom = (int)Math.Clamp(corners.Max(c => c.Y) + more, top + 1, wide.Height);
        return new Rect(left, top, right - left, bottom - top);
    }

    // A picture, or an area of it, at another scale.
    private sealed record Part(Mat Whole, double Scale)
    {
        public Rect Area { get; init; } = new(0, 0, Whole.Width, Whole.Height);

        public Mat Drawn()
        {
            using Mat area = new(Whole, Area);
            if (Scale == 1)
            {
                return area.Clone();
            }

            Mat drawn = new();
            Cv2.Resize(area, drawn, new Size(0, 0), Scale, Scale, Scale < 1 ? InterpolationFlags.Area : InterpolationFlags.Cubic);
            return drawn;
        }

        public PicturePoint InWhole(PicturePoint p) => new(Area.X + (p.X / Scale), Area.Y + (p.Y / Scale));
    }

    private static Result Match(Part primary, Part secondary, int mostFeatures, CancellationToken cancel)
    {
        using Mat p = primary.Drawn(), s = secondary.Drawn();
        Result drawn = Match(p, s, mostFeatures, cancel);
        return drawn with
        {
            Matches = [.. drawn.Matches.Select(m => new FeatureMatch(
                primary.InWhole(m.Primary), secondary.InWhole(m.Secondary), m.Scale * primary.Scale / secondary.Scale, m.TurnDegrees))],
        };
    }

    private static Result Match(Mat primary, Mat secondary, int mostFeatures, CancellationToken cancel)
    {
        (KeyPoint[] kp, float[] dp, KeyPoint[] ks, float[] ds) = ([], [], [], []);
        Parallel.Invoke(
            new ParallelOptions { CancellationToken = cancel },
            () => (kp, dp) = Describe(primary, mostFeatures), () => (ks, ds) = Describe(secondary, mostFeatures));
        if (kp.Length < 8 || ks.Length < 8)
        {
            return new Result([], 0);
        }

        List<FeatureMatch> candidates = Candidates(kp, ks, dp, ds);
        cancel.ThrowIfCancellationRequested();
        List<FeatureMatch> local = Agreeing(candidates);
        if (local.Count >= FewestToGuide)
        {
            GuidedMatches guided = new(kp, ks, dp, ds);
            double reach = 0.1 * Longest(primary);
            for (int round = 0; round < GuidedRounds; round++)
            {
                cancel.ThrowIfCancellationRequested();
                List<FeatureMatch> more = Agreeing(guided.Around(local, reach, GuidedRatio));
                bool grows = more.Count > 1.1 * local.Count;
                local = more.Count > local.Count ? more : local;
                if (!grows)
                {
                    break;
                }
            }
        }

        return new Result(local, candidates.Count);
    }

    private static int Longest(Mat m) => Math.Max(m.Width, m.Height);

    private static (KeyPoint[] Points, float[] Descriptors) Describe(Mat luma, int mostFeatures)
    {
        using SIFT sift = SIFT.Create(mostFeatures, 3, 0.015, 12, 1.6);
        using Mat descriptors = new();
        sift.DetectAndCompute(luma, null!, out KeyPoint[] points, descriptors);
        if (points.Length == 0)
        {
            return (points, []);
        }

        // Root of the L1-normalised descriptor: Euclidean distance then compares histograms (Hellinger).
        descriptors.GetArray(out float[] values);
        int length = values.Length / points.Length;
        for (int i = 0; i < points.Length; i++)
        {
            Span<float> row = values.AsSpan(i * length, length);
            float sum = 1e-9f;
            foreach (float v in row)
            {
                sum += v;
            }

            for (int j = 0; j < length; j++)
            {
                row[j] = MathF.Sqrt(row[j] / sum);
            }
        }

        return (points, values);
    }

    private static List<FeatureMatch> Candidates(KeyPoint[] kp, KeyPoint[] ks, float[] dp, float[] ds)
    {
        List<FeatureMatch> found = [];
        HashSet<(int, int, int, int)> seen = [];
        foreach ((int i, int j) in MutualNearest.Of(dp, ds, dp.Length / kp.Length, Ratio))
        {
            KeyPoint p = kp[i], s = ks[j];
            // SIFT may give several orientations at one place; one is enough.
            if (seen.Add(((int)p.Pt.X, (int)p.Pt.Y, (int)s.Pt.X, (int)s.Pt.Y)))
            {
                found.Add(new FeatureMatch(
                    new(p.Pt.X + 0.5, p.Pt.Y + 0.5), new(s.Pt.X + 0.5, s.Pt.Y + 0.5), s.Size / p.Size, s.Angle - p.Angle));
            }
        }

        return found;
    }

    private static List<FeatureMatch> OnEpipolarLines(List<FeatureMatch> candidates)
    {
        if (candidates.Count < 12)
        {
            return [];
        }

        Point2d[] p = [.. candidates.Select(c => new Point2d(c.Primary.X, c.Primary.Y))];
        Point2d[] s = [.. candidates.Select(c => new Point2d(c.Secondary.X, c.Secondary.Y))];
        const FundamentalMatMethods usacMagsac = (FundamentalMatMethods)38; // cv::USAC_MAGSAC
        Cv2.SetTheRNG(1);
        using Mat mask = new();
        try
        {
            using Mat f = Cv2.FindFundamentalMat(p, s, usacMagsac, EpipolarPixels, 0.999, mask);
            if (!f.Empty() && mask.GetArray(out byte[] kept))
            {
                return [.. candidates.Where((_, i) => kept[i] != 0)];
            }
        }
        catch (OpenCVException)
        {
            // Two equal views of a scene (without parallax) have no epipolar geometry, and OpenCV throws; they have a
            // homography.
        }

        return InHomography(candidates, p, s);
    }

    private static List<FeatureMatch> InHomography(List<FeatureMatch> candidates, Point2d[] primary, Point2d[] secondary)
    {
        const HomographyMethods usacMagsac = (HomographyMethods)38; // cv::USAC_MAGSAC
        using Mat mask = new();
        try
        {
            using Mat h = Cv2.FindHomography(primary, secondary, usacMagsac, EpipolarPixels, mask);
            return !h.Empty() && mask.GetArray(out byte[] kept) ? [.. candidates.Where((_, i) => kept[i] != 0)] : [];
        }
        catch (OpenCVException)
        {
            return [];
        }
    }

    // On the epipolar lines, half of the neighbours must be near the places the match predicts. If most features lie on
    // one plane, those lines are poorly determined, and objects in front of the plane would be lost: then a few
    // neighbours that agree closely in place, size and rotation are enough.
    private static List<FeatureMatch> Agreeing(List<FeatureMatch> candidates)
    {
        HashSet<FeatureMatch> kept = [.. WithNeighbours(OnEpipolarLines(candidates), IsNear, n => Math.Max(4, (n + 1) / 2))];
        kept.UnionWith(WithNeighbours(candidates, IsClose, _ => FewestClose));
        return OfOnePlace([.. candidates.Where(kept.Contains)]);
    }

    // A repeating pattern that continues outside the secondary's view agrees with itself one repeat away. But most of
    // what the secondary shows there comes from its true place: half of the neighbours in the secondary must lie in the
    // primary near the places that the match predicts. Repeated until none is removed, since each wrong match removed
    // leaves its neighbours with less support.
    private static List<FeatureMatch> OfOnePlace(List<FeatureMatch> matches)
    {
        for (int count = -1; matches.Count != count;)
        {
            count = matches.Count;
            matches = [.. WithNeighbours([.. matches.Select(Swapped)], IsNear, n => (n + 1) / 2).Select(Swapped)];
        }

        return matches;
    }

    private static FeatureMatch Swapped(FeatureMatch m) => new(m.Secondary, m.Primary, 1 / m.Scale, -m.TurnDegrees);

    // The local shape of a match (its scale and rotation) must predict the places of enough neighbours.
    private static IEnumerable<FeatureMatch> WithNeighbours(
        List<FeatureMatch> matches, Func<FeatureMatch, FeatureMatch, double, double, bool> agrees, Func<int, int> enough)
    {
        foreach (FeatureMatch m in matches)
        {
            List<(double Square, FeatureMatch Match)> near = NearestMatches.Of(matches, m.Primary, Neighbours, elsewhere: true);
            double turn = m.TurnDegrees * Math.PI / 180, cos = m.Scale * Math.Cos(turn), sin = m.Scale * Math.Sin(turn);
            int agreeing = 0;
            foreach ((double square, FeatureMatch other) in near)
            {
                double dx = other.Primary.X - m.Primary.X, dy = other.Primary.Y - m.Primary.Y;
                PicturePoint predicted = new(m.Secondary.X + (cos * dx) - (sin * dy), m.Secondary.Y + (sin * dx) + (cos * dy));
                agreeing += agrees(m, other, Distance(predicted, other.Secondary), m.Scale * Math.Sqrt(square)) ? 1 : 0;
            }

            if (agreeing >= enough(near.Count))
            {
                yield return m;
            }
        }
    }

    private static bool IsNear(FeatureMatch m, FeatureMatch other, double error, double distance) => error <= 4 + (0.5 * distance);

    private static bool IsClose(FeatureMatch m, FeatureMatch other, double error, double distance)
    {
        double scale = other.Scale / m.Scale, turn = other.TurnDegrees - m.TurnDegrees;
        turn -= 360 * Math.Round(turn / 360);
        return error <= 3 + (0.2 * distance) && scale is < 1.5 and > 1 / 1.5 && Math.Abs(turn) < 20;
    }

    private static double Distance(PicturePoint a, PicturePoint b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));
}
