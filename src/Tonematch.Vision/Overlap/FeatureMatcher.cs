using OpenCvSharp;
using OpenCvSharp.Features2D;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Finds points that two pictures of one scene share: SIFT (D. Lowe, IJCV 60(2), 2004; root-normalised after R.
/// Arandjelovic and A. Zisserman, CVPR 2012), ratio test both ways, epipolar geometry by MAGSAC++ (D. Barath et al.,
/// CVPR 2020), and agreement with the neighbours, because parallax is normal but never jumps about.
/// </summary>
internal static class FeatureMatcher
{
    private const int MostFeatures = 5000;
    private const double Ratio = 0.82;
    private const double EpipolarPixels = 2.5;
    private const int Neighbours = 8;

    /// <summary>What was matched, and how many candidates were dropped by which test.</summary>
    public sealed record Result(IReadOnlyList<FeatureMatch> Matches, int Candidates, int AgainstGeometry, int AgainstNeighbours);

    public static Result Match(WorkingPicture primary, WorkingPicture secondary, CancellationToken cancel)
    {
        using SIFT sift = SIFT.Create(MostFeatures, 3, 0.015, 12, 1.6);
        using Mat dp = new(), ds = new();
        KeyPoint[] kp = Describe(sift, primary.Luma, dp), ks = Describe(sift, secondary.Luma, ds);
        cancel.ThrowIfCancellationRequested();
        if (kp.Length < 8 || ks.Length < 8)
        {
            return new Result([], 0, 0, 0);
        }

        List<FeatureMatch> candidates = Candidates(kp, ks, dp, ds);
        cancel.ThrowIfCancellationRequested();
        List<FeatureMatch> geometric = OnEpipolarLines(candidates);
        List<FeatureMatch> local = WithNeighbours(geometric);
        return new Result(local, candidates.Count, candidates.Count - geometric.Count, geometric.Count - local.Count);
    }

    private static KeyPoint[] Describe(SIFT sift, Mat luma, Mat descriptors)
    {
        sift.DetectAndCompute(luma, null!, out KeyPoint[] points, descriptors);
        if (points.Length == 0)
        {
            return points;
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

        using Mat roots = Mat.FromPixelData(points.Length, length, MatType.CV_32FC1, values);
        roots.CopyTo(descriptors);
        return points;
    }

    private static List<FeatureMatch> Candidates(KeyPoint[] kp, KeyPoint[] ks, Mat dp, Mat ds)
    {
        using BFMatcher matcher = new(NormTypes.L2);
        DMatch[][] forth = matcher.KnnMatch(dp, ds, 2), back = matcher.KnnMatch(ds, dp, 1);
        List<FeatureMatch> found = [];
        HashSet<(int, int, int, int)> seen = [];
        foreach (DMatch[] pair in forth)
        {
            if (pair.Length < 2 || pair[0].Distance > Ratio * pair[1].Distance || back[pair[0].TrainIdx][0].TrainIdx != pair[0].QueryIdx)
            {
                continue;
            }

            KeyPoint p = kp[pair[0].QueryIdx], s = ks[pair[0].TrainIdx];
            // SIFT gives a place several orientations; once is enough.
            if (seen.Add(((int)p.Pt.X, (int)p.Pt.Y, (int)s.Pt.X, (int)s.Pt.Y)))
            {
                found.Add(new FeatureMatch(new(p.Pt.X + 0.5, p.Pt.Y + 0.5), new(s.Pt.X + 0.5, s.Pt.Y + 0.5), s.Size / p.Size, s.Angle - p.Angle));
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
            // Two like views of a scene (no parallax at all) have no epipolar geometry, and OpenCV throws; they have
            // a homography.
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

    // The shape around a match (its scale and turn) must predict where its neighbours are, for at least half of them.
    private static List<FeatureMatch> WithNeighbours(List<FeatureMatch> matches)
    {
        List<FeatureMatch> kept = [];
        foreach (FeatureMatch m in matches)
        {
            List<(double Square, FeatureMatch Match)> near = NearestMatches.Of(matches, m.Primary, Neighbours, elsewhere: true);
            double turn = m.TurnDegrees * Math.PI / 180, cos = m.Scale * Math.Cos(turn), sin = m.Scale * Math.Sin(turn);
            int agreeing = 0;
            foreach ((double square, FeatureMatch other) in near)
            {
                double dx = other.Primary.X - m.Primary.X, dy = other.Primary.Y - m.Primary.Y;
                PicturePoint predicted = new(m.Secondary.X + (cos * dx) - (sin * dy), m.Secondary.Y + (sin * dx) + (cos * dy));
                agreeing += Distance(predicted, other.Secondary) <= 4 + (0.5 * m.Scale * Math.Sqrt(square)) ? 1 : 0;
            }

            if (near.Count >= 4 && agreeing * 2 >= near.Count)
            {
                kept.Add(m);
            }
        }

        return kept;
    }

    private static double Distance(PicturePoint a, PicturePoint b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));
}
