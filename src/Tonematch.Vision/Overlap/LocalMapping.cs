using Tonematch.Numerics;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>An affine map from the neighbourhood of a point of the primary to the secondary.</summary>
/// <param name="Centre">The point in the primary's working picture.</param>
/// <param name="Image">Its place in the secondary's.</param>
/// <param name="Xx">Change of secondary x per step in primary x.</param>
/// <param name="Xy">Change of secondary x per step in primary y.</param>
/// <param name="Yx">Change of secondary y per step in primary x.</param>
/// <param name="Yy">Change of secondary y per step in primary y.</param>
/// <param name="ErrorPixels">Typical disagreement of the surrounding matches, in secondary working pixels.</param>
internal readonly record struct LocalMapping(
    PicturePoint Centre, PicturePoint Image, double Xx, double Xy, double Yx, double Yy, double ErrorPixels)
{
    private const int Neighbours = 12;
    private const int FewestNeighbours = 5;

    /// <summary>Ratio of size in the secondary to size in the primary.</summary>
    public double Scale => Math.Sqrt(Math.Abs((Xx * Yy) - (Xy * Yx)));

    /// <summary>Rotation of the secondary's view, degrees.</summary>
    public double TurnDegrees => Math.Atan2(Yx - Xy, Xx + Yy) * 180 / Math.PI;

    /// <summary>Maps a point near the centre to the secondary.</summary>
    public PicturePoint Map(double x, double y) => new(
        Image.X + (Xx * (x - Centre.X)) + (Xy * (y - Centre.Y)),
        Image.Y + (Yx * (x - Centre.X)) + (Yy * (y - Centre.Y)));

    /// <summary>The same map with the image moved by a step given in primary pixels.</summary>
    public LocalMapping Moved(double dx, double dy) => this with { Image = Map(Centre.X + dx, Centre.Y + dy) };

    /// <summary>
    /// The map around a point from the matches near it (at most <paramref name="reach"/> working pixels away), by
    /// weighted least squares without the worst ones; null if too few are near or they do not agree.
    /// </summary>
    public static LocalMapping? Around(PicturePoint p, List<FeatureMatch> matches, double reach)
    {
        List<(double Square, FeatureMatch Match)> near = NearestMatches.Of(matches, p, Neighbours, reach);
        if (near.Count < FewestNeighbours)
        {
            return null;
        }

        double soft = near[near.Count / 2].Square + 25;
        double[] weights = [.. near.Select(n => 1 / (n.Square + soft))];
        LocalMapping? fitted = null;
        for (int round = 0; round < 4; round++)
        {
            fitted = Fit(p, near, weights);
            if (fitted is not LocalMapping f)
            {
                return null;
            }

            double[] errors = [.. near.Select(n => Distance(f.Map(n.Match.Primary.X, n.Match.Primary.Y), n.Match.Secondary))];
            double median = Median.Of(errors), scale = Math.Max(0.5, 1.5 * median);
            for (int i = 0; i < errors.Length; i++)
            {
                double u = errors[i] / (4 * scale);
                weights[i] = u < 1 ? (1 - (u * u)) * (1 - (u * u)) / (near[i].Square + soft) : 0;
            }

            fitted = f with { ErrorPixels = median };
        }

        // A plausible view of the same object: not mirrored, not squeezed to a line.
        return fitted is LocalMapping m2 && (m2.Xx * m2.Yy) - (m2.Xy * m2.Yx) > 0.01 && m2.ErrorPixels <= 3 + (4 * m2.Scale) && !m2.Squeezed ? m2 : null;
    }

    private bool Squeezed
    {
        get
        {
            double sum = (Xx * Xx) + (Xy * Xy) + (Yx * Yx) + (Yy * Yy), det = Math.Abs((Xx * Yy) - (Xy * Yx));
            return sum > 6 * det; // singular values more than about 5.8 to 1 apart
        }
    }

    // Affine by weighted normal equations, with a weak prior towards the matches' own scale and rotation, so that
    // matches on a line still determine a map.
    private static LocalMapping? Fit(PicturePoint p, List<(double Square, FeatureMatch Match)> near, double[] weights)
    {
        double total = weights.Sum();
        if (!(total > 0))
        {
            return null;
        }

        double px = 0, py = 0, sx = 0, sy = 0, a = 0, b = 0;
        for (int i = 0; i < near.Count; i++)
        {
            FeatureMatch m = near[i].Match;
            double w = weights[i] / total, turn = m.TurnDegrees * Math.PI / 180;
            (px, py) = (px + (w * m.Primary.X), py + (w * m.Primary.Y));
            (sx, sy) = (sx + (w * m.Secondary.X), sy + (w * m.Secondary.Y));
            (a, b) = (a + (w * m.Scale * Math.Cos(turn)), b + (w * m.Scale * Math.Sin(turn)));
        }

        double xx = 0, xy = 0, yy = 0, ux = 0, uy = 0, vx = 0, vy = 0;
        for (int i = 0; i < near.Count; i++)
        {
            FeatureMatch m = near[i].Match;
            double w = weights[i] / total, dx = m.Primary.X - px, dy = m.Primary.Y - py, du = m.Secondary.X - sx, dv = m.Secondary.Y - sy;
            (xx, xy, yy) = (xx + (w * dx * dx), xy + (w * dx * dy), yy + (w * dy * dy));
            (ux, uy, vx, vy) = (ux + (w * du * dx), uy + (w * du * dy), vx + (w * dv * dx), vy + (w * dv * dy));
        }

        double prior = (0.02 * (xx + yy)) + 1e-6;
        (xx, yy) = (xx + prior, yy + prior);
        (ux, uy, vx, vy) = (ux + (prior * a), uy - (prior * b), vx + (prior * b), vy + (prior * a));
        double det = (xx * yy) - (xy * xy);
        if (!(det > 1e-12))
        {
            return null;
        }

        double mxx = ((ux * yy) - (uy * xy)) / det, mxy = ((uy * xx) - (ux * xy)) / det;
        double myx = ((vx * yy) - (vy * xy)) / det, myy = ((vy * xx) - (vx * xy)) / det;
        PicturePoint image = new(sx + (mxx * (p.X - px)) + (mxy * (p.Y - py)), sy + (myx * (p.X - px)) + (myy * (p.Y - py)));
        return new LocalMapping(p, image, mxx, mxy, myx, myy, 0);
    }

    private static double Distance(PicturePoint a, PicturePoint b) => Math.Sqrt(((a.X - b.X) * (a.X - b.X)) + ((a.Y - b.Y) * (a.Y - b.Y)));
}
