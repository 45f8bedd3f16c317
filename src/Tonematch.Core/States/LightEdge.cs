using Tonematch.Numerics;
using Tonematch.Pictures;

namespace Tonematch.States;

/// <summary>
/// Finds when the light changed between two instants that were compared, from the pictures of one camera alone: a lamp
/// changes the whole picture from one frame to the next; what moves in it does not.
/// </summary>
public static class LightEdge
{
    // The level before and after is the median over up to this many pictures, so that a flash is not a change.
    private const int Window = 12;
    private const int FewestBefore = 3;

    // A smaller change, stops, needs no exact time.
    private const double LeastChange = 0.1;

    // The step between neighbours must be this many times as large as is usual in these pictures: a lamp is quicker than
    // what moves.
    private const double TimesUsual = 5;

    private const double NearlyAll = 0.8;

    /// <summary>The light of a whole picture: the mean over its pixels of the logarithm of light.</summary>
    /// <param name="picture">The picture; a small one is enough.</param>
    /// <param name="seconds">Its time.</param>
    public static LightInstant Of(Picture picture, double seconds)
    {
        ArgumentNullException.ThrowIfNull(picture);

        // Below this share of reference white it is black, with an exposure that only noise decides.
        double black = 0.005 * picture.Encoding.ReferenceWhite;
        double Level(ReadOnlySpan<float> plane)
        {
            double sum = 0;
            foreach (float code in plane)
            {
                sum += Math.Log2(Math.Max(black, picture.Encoding.ToScene(code)));
            }

            return sum / plane.Length;
        }

        double green = Level(picture.G);
        return new LightInstant(seconds, green, Level(picture.R) - green, Level(picture.B) - green);
    }

    /// <summary>The time of the change and its size, stops; null if none stands out.</summary>
    /// <param name="pictures">The light of one clip's pictures without a gap, in time order, from <see cref="Of"/>.</param>
    public static (double Seconds, double Stops)? Find(IReadOnlyList<LightInstant> pictures)
    {
        ArgumentNullException.ThrowIfNull(pictures);
        double[] change = new double[pictures.Count];
        for (int k = FewestBefore; k <= pictures.Count - FewestBefore; k++)
        {
            change[k] = Change(pictures, k);
        }

        if (pictures.Count < 2 * FewestBefore)
        {
            return null;
        }

        int[] inside = [.. Enumerable.Range(FewestBefore, pictures.Count - (2 * FewestBefore) + 1)];

        // Medians hardly differ a few pictures before and after a change; the step between two neighbours tells which it is.
        double largest = inside.Max(k => change[k]);
        int at = inside.Where(k => change[k] >= NearlyAll * largest).MaxBy(k => Distance(pictures[k - 1], pictures[k]));
        double[] elsewhere = [.. inside.Where(k => Math.Abs(k - at) >= Window).Select(k => Distance(pictures[k - 1], pictures[k]))];
        double usual = elsewhere.Length == 0 ? 0 : Median.Of(elsewhere);
        return change[at] < LeastChange || Distance(pictures[at - 1], pictures[at]) < TimesUsual * usual
            ? null
            : ((pictures[at - 1].Seconds + pictures[at].Seconds) / 2, change[at]);
    }

    private static double Distance(LightInstant a, LightInstant b)
    {
        double exposure = b.ExposureStops - a.ExposureStops, red = b.RedGreenStops - a.RedGreenStops, blue = b.BlueGreenStops - a.BlueGreenStops;
        return Math.Sqrt((exposure * exposure) + (red * red) + (blue * blue));
    }

    private static double Change(IReadOnlyList<LightInstant> pictures, int at)
    {
        LightInstant[] before = [.. Enumerable.Range(Math.Max(0, at - Window), at - Math.Max(0, at - Window)).Select(k => pictures[k])];
        LightInstant[] after = [.. Enumerable.Range(at, Math.Min(Window, pictures.Count - at)).Select(k => pictures[k])];
        return Distance(Middle(before), Middle(after));

        static LightInstant Middle(LightInstant[] some) =>
            new(some[0].Seconds, Median.Of(some.Select(i => i.ExposureStops)), Median.Of(some.Select(i => i.RedGreenStops)), Median.Of(some.Select(i => i.BlueGreenStops)));
    }
}
