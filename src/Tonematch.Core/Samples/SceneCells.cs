using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// Samples surfaces without features (asphalt, grass, a table, a wall): square cells of the primary's picture are
/// mapped into the secondary by a mapping known from elsewhere, and their means are compared. Cells are large, so a
/// mapping error of a few pixels does not matter; their content decides whether a cell shows the same object in both
/// pictures.
/// </summary>
public static class SceneCells
{
    /// <summary>Side of a cell as a share of the primary's width.</summary>
    public const double Side = 0.04;

    // A cell is represented by a grid of means; its place is adjusted by at most one mean in each direction.
    private const int Grid = 5;
    private const int Wide = Grid + 2;

    // Means are taken from copies of this width, where a mean is about four pixels across.
    private const int LookedAtSide = 480;
    private const int PointsAcross = 3;

    // Standard deviation of the means, in code values: below it a cell is plain and has no texture to compare.
    private const double Plain = 0.015;

    // Smallest normalised correlation of the means of a cell that is not plain.
    private const double SmallestCorrelation = 0.7;

    // Largest ratio of the contrasts of two cells showing the same object.
    private const double LargestContrastRatio = 4;

    // Standard deviation of the code values in a cell above which a small error of place compares different things.
    private const double LargestSpread = 0.14;

    // Disagreeing cells are weighed against agreeing ones; plain ones count half, because they agree easily. If more
    // disagree, the mapping does not fit the surface there.
    private const double PlainAgrees = 0.5;

    // CIEDE2000 between instants above which something moved or the light changed.
    private const double Moved = 3;

    // Area in the secondary over area in the primary: beyond this ratio a cell has only a few pixels in one of them.
    private const double LargestAreaRatio = 25;

    /// <summary>Gives the local mapping from the primary's picture to the secondary's around a place.</summary>
    /// <param name="centre">A place of the primary, pixels.</param>
    /// <returns>Maps places near it; null if unknown.</returns>
    public delegate Func<PicturePoint, PicturePoint>? Carrier(PicturePoint centre);

    /// <summary>
    /// Compares the cells that the mapping takes into the secondary's picture. Left out and counted by reason:
    /// 'outside', 'clipped', 'edge' (too much texture for a mean), 'other texture' (the content does not agree), 'other
    /// plane' (so few agree that the mapping does not fit these objects), 'other colour' (does not change like objects
    /// of similar colour).
    /// </summary>
    /// <param name="primary">The primary's picture.</param>
    /// <param name="secondary">The secondary's picture of the same instant.</param>
    /// <param name="carrier">The mapping between the pictures.</param>
    /// <param name="isFree">Whether a cell around a place may be sampled: not on a chart, or where samples exist already.</param>
    /// <param name="primarySeconds">The instant in the primary.</param>
    /// <param name="secondarySeconds">The instant in the secondary.</param>
    public static SampleSet Sample(
        Picture primary, Picture secondary, Carrier carrier, Func<PicturePoint, bool> isFree, double primarySeconds = 0, double secondarySeconds = 0)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(carrier);
        ArgumentNullException.ThrowIfNull(isFree);
        SortedDictionary<string, int> rejected = [];
        void Reject(string why, int count = 1) => rejected[why] = rejected.GetValueOrDefault(why) + count;
        LowPass p = new(primary, LookedAtSide), s = new(secondary, LookedAtSide);
        double side = Side * primary.Width;
        List<(SamplePair Pair, bool Plain)> found = [];
        int disagreeing = 0;
        for (double y = side / 2; y + (side / 2) <= primary.Height; y += side)
        {
            for (double x = side / 2; x + (side / 2) <= primary.Width; x += side)
            {
                PicturePoint centre = new(x, y);
                if (!isFree(centre) || carrier(centre) is not { } map)
                {
                    continue;
                }

                Seen seen = See(p, s, centre, side, map, out Func<PicturePoint, PicturePoint> settled);
                if (seen == Seen.Otherwise)
                {
                    disagreeing++;
                    Reject("other texture");
                    continue;
                }

                string why = "outside";
                if (seen != Seen.Outside && Measure(primary, secondary, centre, side, settled, out why) is (ColourStatistics mp, ColourStatistics ms, PictureBox at))
                {
                    found.Add((Pair(primary, secondary, centre, side, mp, ms, at, primarySeconds, secondarySeconds), seen == Seen.Plain));
                    continue;
                }

                Reject(why);
            }
        }

        SampleSet set = new(primary.Encoding, secondary.Encoding, SamplingMethod.Overlap, []);
        if (disagreeing > found.Sum(f => f.Plain ? PlainAgrees : 1))
        {
            Reject("other plane", found.Count);
            return set with { Rejected = rejected.ToImmutableSortedDictionary() };
        }

        SamplePair[] pairs = [.. found.Select(f => f.Pair)];
        PairAgreement agreement = PairAgreement.Of(pairs, primary.Encoding, secondary.Encoding);
        int odd = agreement.IsOutlier.Count(o => o);
        if (odd > 0)
        {
            Reject("other colour", odd);
        }

        return set with { Pairs = [.. pairs.Where((_, i) => !agreement.IsOutlier[i])], Rejected = rejected.ToImmutableSortedDictionary() };
    }

    /// <summary>
    /// The cells that still look the same at another instant to two static cameras; cells that something moved through
    /// are removed.
    /// </summary>
    /// <param name="pairs">Cells.</param>
    /// <param name="primary">The primary's picture they come from.</param>
    /// <param name="secondary">The same for the secondary.</param>
    /// <param name="laterPrimary">The primary's picture of another instant under the same light.</param>
    /// <param name="laterSecondary">The same for the secondary.</param>
    public static ImmutableArray<SamplePair> Still(
        IReadOnlyList<SamplePair> pairs, Picture primary, Picture secondary, Picture laterPrimary, Picture laterSecondary)
    {
        ArgumentNullException.ThrowIfNull(pairs);
        return [.. pairs.Where(pair => pair.Origin is null || (IsStill(primary, laterPrimary, pair.Origin.Primary) && IsStill(secondary, laterSecondary, pair.Origin.Secondary)))];
    }

    private static bool IsStill(Picture now, Picture later, SamplePlace place) =>
        PolygonSampler.Measure(now, place.In(now).Corners()) is ColourStatistics a && PolygonSampler.Measure(later, place.In(later).Corners()) is ColourStatistics b
        && DeltaE2000.Between(now.Encoding.ToLab(a.Mean), later.Encoding.ToLab(b.Mean)) <= Moved;

    private enum Seen
    {
        Plain,
        Alike,
        Otherwise,
        Outside,
    }

    // The means of a cell in both pictures; the secondary's extend one mean further in each direction, and the cell is
    // placed where they agree best.
    private static Seen See(
        LowPass p, LowPass s, PicturePoint centre, double side, Func<PicturePoint, PicturePoint> map, out Func<PicturePoint, PicturePoint> settled)
    {
        settled = map;
        double step = side / Grid;
        Span<double> own = stackalloc double[Grid * Grid], there = stackalloc double[Wide * Wide], window = stackalloc double[Grid * Grid];
        for (int j = 0; j < Wide; j++)
        {
            for (int i = 0; i < Wide; i++)
            {
                PicturePoint at = new(centre.X + ((i - (Wide / 2)) * step), centre.Y + ((j - (Wide / 2)) * step));
                double seen = s.Mean(at, step, map);
                if (double.IsNaN(seen))
                {
                    return Seen.Outside;
                }

                there[(j * Wide) + i] = seen;
                if (i is > 0 and <= Grid && j is > 0 and <= Grid)
                {
                    own[((j - 1) * Grid) + i - 1] = p.Mean(at, step, static q => q);
                }
            }
        }

        double contrast = Centre(own), best = double.NegativeInfinity, bestContrast = 0, middleContrast = 0;
        (int X, int Y) shift = default;
        for (int dy = -1; dy <= 1; dy++)
        {
            for (int dx = -1; dx <= 1; dx++)
            {
                for (int k = 0; k < window.Length; k++)
                {
                    window[k] = there[(((k / Grid) + 1 + dy) * Wide) + (k % Grid) + 1 + dx];
                }

                double other = Centre(window), product = 0;
                for (int k = 0; k < window.Length; k++)
                {
                    product += window[k] * own[k];
                }

                double correlation = contrast > 0 && other > 0 ? product / (window.Length * contrast * other) : 0;
                middleContrast = (dx, dy) == (0, 0) ? other : middleContrast;
                if (correlation > best)
                {
                    (best, bestContrast, shift) = (correlation, other, (dx, dy));
                }
            }
        }

        if (Math.Max(contrast, middleContrast) < Plain)
        {
            return Seen.Plain;
        }

        if (best < SmallestCorrelation || Math.Max(contrast, bestContrast) > LargestContrastRatio * Math.Min(contrast, bestContrast))
        {
            return Seen.Otherwise;
        }

        settled = q => map(new PicturePoint(q.X + (shift.X * step), q.Y + (shift.Y * step)));
        return Seen.Alike;
    }

    // Removes the mean and returns the standard deviation.
    private static double Centre(Span<double> values)
    {
        double mean = 0, square = 0;
        foreach (double v in values)
        {
            mean += v / values.Length;
        }

        for (int i = 0; i < values.Length; i++)
        {
            values[i] -= mean;
            square += values[i] * values[i] / values.Length;
        }

        return Math.Sqrt(square);
    }

    private static (ColourStatistics Primary, ColourStatistics Secondary, PictureBox At)? Measure(
        Picture primary, Picture secondary, PicturePoint centre, double side, Func<PicturePoint, PicturePoint> map, out string why)
    {
        PicturePoint[] own = new PictureBox(centre.X, centre.Y, side, side).Corners(), there = [.. own.Select(map)];
        double ratio = Area(there) / (side * side);
        why = "outside";
        if (!there.All(q => q.X >= 0 && q.Y >= 0 && q.X <= secondary.Width && q.Y <= secondary.Height) || !(ratio is > 1 / LargestAreaRatio and < LargestAreaRatio)
            || PolygonSampler.Measure(primary, own) is not ColourStatistics p || PolygonSampler.Measure(secondary, there) is not ColourStatistics s)
        {
            return null;
        }

        why = p.IsClipped || s.IsClipped ? "clipped" : "edge";
        return p.IsClipped || s.IsClipped || Largest(p.Spread) > LargestSpread || Largest(s.Spread) > LargestSpread
            ? null
            : (p, s, PictureBox.Around(there));
    }

    // Positive if the corners keep their orientation: a mirrored cell is behind the viewer.
    private static double Area(PicturePoint[] quad)
    {
        double twice = 0;
        for (int i = 0; i < quad.Length; i++)
        {
            PicturePoint a = quad[i], b = quad[(i + 1) % quad.Length];
            twice += (a.X * b.Y) - (b.X * a.Y);
        }

        return twice / 2;
    }

    private static SamplePair Pair(
        Picture primary, Picture secondary, PicturePoint centre, double side, ColourStatistics p, ColourStatistics s, PictureBox there,
        double primarySeconds, double secondarySeconds)
    {
        SamplePlace at = SamplePlace.Of(new PictureBox(centre.X, centre.Y, side, side), primary);
        return new SamplePair(
            // Named by column and row, so that a cell has the same name however it was found.
            string.Create(CultureInfo.InvariantCulture, $"cell-{(int)(centre.X / side):00}-{(int)(centre.Y / side):00}@{primarySeconds:0.000}"),
            string.Create(CultureInfo.InvariantCulture, $"area-{(int)(8 * at.X)}-{(int)(6 * at.Y)}"),
            p.Mean,
            s.Mean)
        {
            // The mean of thousands of pixels is far more accurate than their spread.
            PrimarySpread = Shared(p.Spread),
            SecondarySpread = Shared(s.Spread),
            Origin = new SampleOrigin(primarySeconds, secondarySeconds, at, SamplePlace.Of(there, secondary)),
        };
    }

    private static CodeRgb Shared(CodeRgb spread) => new(spread.R / Grid, spread.G / Grid, spread.B / Grid);

    private static double Largest(CodeRgb c) => Math.Max(c.R, Math.Max(c.G, c.B));

    // Brightness of a scaled-down picture, interpolated between its pixels.
    private sealed class LowPass
    {
        private readonly Picture _small;
        private readonly double _scale;

        public LowPass(Picture picture, int side)
        {
            _small = PictureScale.ToSmall(picture, side);
            _scale = (double)_small.Width / picture.Width;
        }

        // The mean over a square of the primary's picture as mapped; NaN if that is outside.
        public double Mean(PicturePoint centre, double side, Func<PicturePoint, PicturePoint> map)
        {
            double sum = 0;
            for (int k = 0; k < PointsAcross * PointsAcross; k++)
            {
                double dx = ((k % PointsAcross) - (PointsAcross / 2)) * side / PointsAcross, dy = ((k / PointsAcross) - (PointsAcross / 2)) * side / PointsAcross;
                PicturePoint at = map(new PicturePoint(centre.X + dx, centre.Y + dy));
                sum += At((_scale * at.X) - 0.5, (_scale * at.Y) - 0.5);
            }

            return sum / (PointsAcross * PointsAcross);
        }

        private double At(double x, double y)
        {
            if (!(x >= -1 && y >= -1 && x <= _small.Width && y <= _small.Height))
            {
                return double.NaN;
            }

            int left = (int)Math.Floor(x), top = (int)Math.Floor(y);
            double u = x - left, v = y - top;
            return ((1 - v) * (((1 - u) * Brightness(left, top)) + (u * Brightness(left + 1, top))))
                + (v * (((1 - u) * Brightness(left, top + 1)) + (u * Brightness(left + 1, top + 1))));
        }

        private double Brightness(int x, int y)
        {
            int i = (Math.Clamp(y, 0, _small.Height - 1) * _small.Width) + Math.Clamp(x, 0, _small.Width - 1);
            return Luma.Of(new CodeRgb(_small.R[i], _small.G[i], _small.B[i]));
        }
    }
}
