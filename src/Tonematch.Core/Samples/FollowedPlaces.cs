using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// Places that two cameras saw in common at one moment, to be measured again at other moments without a new search. A
/// place counts if its surroundings still look the same to both cameras. Exposure and white balance may have changed
/// (that is what is measured); objects that moved away or were covered drop out.
/// </summary>
public sealed class FollowedPlaces
{
    // The surroundings are three times the place, sampled as a grid of 9 x 9: enough for a correlation to notice a
    // different object, and cheap enough for every frame of an hour.
    private const int Grid = 9;
    private const double Surroundings = 3;

    // Normalised correlation of the grids. Sensor noise of 0.01 on structure of 0.03 already reduces it by 0.1.
    private const float StillTheSame = 0.8f;

    // Standard deviation of the grid, code values, below which there is no structure by which to recognise a place.
    private const double LeastStructure = 0.012;

    // Places by which a view is located again; some are covered or moved, the rest decide.
    private const int MostLandmarks = 16;
    private const int FewLandmarks = 6;

    // Mean correlation of the landmarks: at the old shift, to keep it without a search; anywhere, to be the same view.
    private const double Unmoved = 0.9;
    private const double SameView = 0.5;

    // Searches, pixels: around the last shift, and over the whole picture in steps that the surroundings bridge.
    private const int Near = 4;
    private const int MostClimbs = 16; // while the best is at the edge of the window
    private const int WideShare = 8; // of the width, to either side
    private const int WideSteps = 21;

    private const double LightestUsable = 0.98;
    private const double DarkestUsable = 0.004;

    private readonly Place[] _places;
    private readonly (int Width, int Height) _primary, _secondary;

    private FollowedPlaces(Place[] places, Picture primary, Picture secondary)
    {
        _places = places;
        _primary = (primary.Width, primary.Height);
        _secondary = (secondary.Width, secondary.Height);
    }

    /// <summary>The number of places that can be recognised again.</summary>
    public int Count => _places.Length;

    /// <summary>Stores the surroundings of each sample's place.</summary>
    /// <param name="primary">The primary's picture the samples come from, or a smaller copy.</param>
    /// <param name="secondary">The same for the secondary.</param>
    /// <param name="pairs">Samples, sorted by confidence, so every n-th is a fair sample; those without a place are skipped.</param>
    /// <param name="mostPairs">The largest number of samples to follow, 1 or more.</param>
    public static FollowedPlaces From(Picture primary, Picture secondary, IEnumerable<SamplePair> pairs, int mostPairs = int.MaxValue)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(pairs);
        List<Place> places = [];
        SamplePair[] all = [.. pairs];
        foreach (SamplePair pair in all.Length <= mostPairs ? all : Enumerable.Range(0, mostPairs).Select(i => all[(int)((long)i * all.Length / mostPairs)]))
        {
            if (pair.Origin is { } o)
            {
                PictureBox p = o.Primary.In(primary), s = o.Secondary.In(secondary);
                float[] seenP = new float[Grid * Grid], seenS = new float[Grid * Grid];
                if (See(primary, p, seenP) && See(secondary, s, seenS))
                {
                    places.Add(new Place(p, s, seenP, seenS, pair.Weight));
                }
            }
        }

        return new FollowedPlaces([.. places], primary, secondary);
    }

    /// <summary>Whether the pictures have the size in which the places were stored.</summary>
    public bool Fits(Picture primary, Picture secondary)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        return (primary.Width, primary.Height) == _primary && (secondary.Width, secondary.Height) == _secondary;
    }

    /// <summary>
    /// How far both views have moved since the places were stored, as a camera held by hand or panned moves them; null
    /// if either shows something else now.
    /// </summary>
    /// <param name="primary">The primary's picture, of the size in which the places were stored.</param>
    /// <param name="secondary">The secondary's picture, likewise.</param>
    /// <param name="last">The last known shifts, where the search begins.</param>
    /// <param name="everywhere">Whether to search farther away if the view is not near its last shift.</param>
    /// <exception cref="ArgumentException">A picture has another size.</exception>
    public ViewShifts? Located(Picture primary, Picture secondary, ViewShifts last, bool everywhere)
    {
        RefuseOtherSizes(primary, secondary);
        return Located(primary, last.PrimaryX, last.PrimaryY, everywhere, p => (p.Primary, p.SeenByPrimary)) is { } inA
            && Located(secondary, last.SecondaryX, last.SecondaryY, everywhere, p => (p.Secondary, p.SeenBySecondary)) is { } inB
            ? new ViewShifts(inA.X, inA.Y, inB.X, inB.Y)
            : null;
    }

    /// <summary>The colours at the places that still look the same in both pictures.</summary>
    /// <param name="primary">The primary's picture, of the size in which the places were stored.</param>
    /// <param name="secondary">The secondary's picture, likewise.</param>
    /// <param name="shifts">How far the views have moved since; none unless given.</param>
    /// <exception cref="ArgumentException">A picture has another size.</exception>
    public ImmutableArray<FollowedColour> At(Picture primary, Picture secondary, ViewShifts shifts = default)
    {
        RefuseOtherSizes(primary, secondary);
        ImmutableArray<FollowedColour>.Builder colours = ImmutableArray.CreateBuilder<FollowedColour>(_places.Length);
        Span<float> now = stackalloc float[Grid * Grid];
        for (int k = 0; k < _places.Length; k++)
        {
            Place place = _places[k].Moved(shifts);
            if (place.IsIn(_primary, _secondary) && See(primary, place.Primary, now) && IsSame(now, place.SeenByPrimary)
                && See(secondary, place.Secondary, now) && IsSame(now, place.SeenBySecondary)
                && Mean(primary, place.Primary) is { } p && Mean(secondary, place.Secondary) is { } s)
            {
                colours.Add(new FollowedColour(p, s, place.Weight, k));
            }
        }

        return colours.DrainToImmutable();
    }

    private void RefuseOtherSizes(Picture primary, Picture secondary)
    {
        if (!Fits(primary, secondary))
        {
            throw new ArgumentException("Places are followed in pictures of the size they were found in.", nameof(primary));
        }
    }

    private (int X, int Y)? Located(Picture picture, int lastX, int lastY, bool everywhere, Func<Place, (PictureBox Box, float[] Seen)> of)
    {
        (PictureBox Box, float[] Seen)[] marks = [.. Spread(MostLandmarks).Select(of)];
        float[] now = new float[Grid * Grid];
        double Alike((PictureBox Box, float[] Seen)[] landmarks, int x, int y)
        {
            double sum = 0;
            foreach ((PictureBox box, float[] seen) in landmarks)
            {
                PictureBox moved = Moved(box, x, y);
                sum += IsInside(moved, (picture.Width, picture.Height)) && See(picture, moved, now) ? Product(now, seen) : 0;
            }

            return landmarks.Length == 0 ? 0 : sum / landmarks.Length;
        }

        (double Alike, int X, int Y) Best((PictureBox Box, float[] Seen)[] landmarks, int x, int y, int reach, int step)
        {
            (double Alike, int X, int Y) best = (Alike(landmarks, x, y), x, y); // of equal ones, the nearest to where it was
            for (int dy = -reach; dy <= reach; dy += step)
            {
                for (int dx = -reach; dx <= reach; dx += step)
                {
                    double alike = Alike(landmarks, x + dx, y + dy);
                    best = alike > best.Alike ? (alike, x + dx, y + dy) : best;
                }
            }

            return best;
        }

        if (Alike(marks, lastX, lastY) >= Unmoved)
        {
            return (lastX, lastY);
        }

        (double alike, int atX, int atY) = Best(marks, lastX, lastY, Near, 1);
        for (int climb = 0, fromX = lastX, fromY = lastY; climb < MostClimbs && alike >= SameView && Math.Max(Math.Abs(atX - fromX), Math.Abs(atY - fromY)) == Near; climb++)
        {
            (fromX, fromY) = (atX, atY);
            (alike, atX, atY) = Best(marks, atX, atY, Near, 1);
        }

        if (alike < SameView && everywhere)
        {
            int reach = picture.Width / WideShare, step = Math.Max(1, reach / WideSteps);
            (_, atX, atY) = Best([.. Spread(FewLandmarks).Select(of)], 0, 0, reach, step);
            (alike, atX, atY) = Best(marks, atX, atY, step, 1);
        }

        return alike >= SameView ? (atX, atY) : null;
    }

    private IEnumerable<Place> Spread(int most) => _places.Length <= most
        ? _places
        : Enumerable.Range(0, most).Select(i => _places[(int)((i + 0.5) * _places.Length / most)]);

    private static PictureBox Moved(PictureBox box, int x, int y) => box with { X = box.X + x, Y = box.Y + y };

    private static bool IsInside(PictureBox place, (int Width, int Height) picture) =>
        place.X >= 0 && place.X < picture.Width && place.Y >= 0 && place.Y < picture.Height;

    // The surroundings normalised to mean 0 and length 1, so that a scalar product is the correlation; false without
    // structure.
    private static bool See(Picture picture, PictureBox place, Span<float> grid)
    {
        double width = Math.Max(place.Width, 3) * Surroundings, height = Math.Max(place.Height, 3) * Surroundings;
        double left = place.X - (width / 2), top = place.Y - (height / 2);
        ReadOnlySpan<float> g = picture.G, r = picture.R;
        float sum = 0;
        for (int j = 0; j < Grid; j++)
        {
            int y = Math.Clamp((int)(top + ((j + 0.5) * height / Grid)), 0, picture.Height - 1) * picture.Width;
            for (int i = 0; i < Grid; i++)
            {
                int at = y + Math.Clamp((int)(left + ((i + 0.5) * width / Grid)), 0, picture.Width - 1);

                // Green carries most of the brightness and the least noise; a little red distinguishes objects of equal
                // green.
                float v = (0.75f * g[at]) + (0.25f * r[at]);
                grid[(j * Grid) + i] = v;
                sum += v;
            }
        }

        float mean = sum / grid.Length, square = 0;
        for (int k = 0; k < grid.Length; k++)
        {
            grid[k] -= mean;
            square += grid[k] * grid[k];
        }

        if (square < grid.Length * LeastStructure * LeastStructure)
        {
            return false;
        }

        float length = MathF.Sqrt(square);
        for (int k = 0; k < grid.Length; k++)
        {
            grid[k] /= length;
        }

        return true;
    }

    private static bool IsSame(ReadOnlySpan<float> now, ReadOnlySpan<float> then) => Product(now, then) >= StillTheSame;

    private static float Product(ReadOnlySpan<float> now, ReadOnlySpan<float> then)
    {
        float product = 0;
        for (int k = 0; k < now.Length; k++)
        {
            product += now[k] * then[k];
        }

        return product;
    }

    // Half a pixel goes up everywhere, so that a place that moved by whole pixels keeps its size.
    private static int Edge(double at) => (int)Math.Floor(at + 0.5);

    // Null if it is clipped or too dark, where its colour is meaningless.
    private static CodeRgb? Mean(Picture picture, PictureBox place)
    {
        int x0 = Math.Clamp(Edge(place.X - (place.Width / 2)), 0, picture.Width - 1);
        int y0 = Math.Clamp(Edge(place.Y - (place.Height / 2)), 0, picture.Height - 1);
        int x1 = Math.Clamp(Edge(place.X + (place.Width / 2)), x0 + 1, picture.Width);
        int y1 = Math.Clamp(Edge(place.Y + (place.Height / 2)), y0 + 1, picture.Height);
        double r = 0, g = 0, b = 0;
        for (int y = y0; y < y1; y++)
        {
            int row = y * picture.Width;
            ReadOnlySpan<float> reds = picture.R[(row + x0)..(row + x1)], greens = picture.G[(row + x0)..(row + x1)], blues = picture.B[(row + x0)..(row + x1)];
            for (int x = 0; x < reds.Length; x++)
            {
                (r, g, b) = (r + reds[x], g + greens[x], b + blues[x]);
            }
        }

        double n = (double)(x1 - x0) * (y1 - y0);
        CodeRgb mean = new(r / n, g / n, b / n);
        return Math.Max(mean.R, Math.Max(mean.G, mean.B)) < LightestUsable && Math.Max(mean.R, Math.Max(mean.G, mean.B)) > DarkestUsable ? mean : null;
    }

    private sealed record Place(PictureBox Primary, PictureBox Secondary, float[] SeenByPrimary, float[] SeenBySecondary, double Weight)
    {
        public Place Moved(ViewShifts by) => by == default
            ? this
            : this with { Primary = FollowedPlaces.Moved(Primary, by.PrimaryX, by.PrimaryY), Secondary = FollowedPlaces.Moved(Secondary, by.SecondaryX, by.SecondaryY) };

        public bool IsIn((int Width, int Height) primary, (int Width, int Height) secondary) => IsInside(Primary, primary) && IsInside(Secondary, secondary);
    }
}
