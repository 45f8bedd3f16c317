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

    // A change of the medians at least this share of the largest may be the same one.
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
        int last = pictures.Count - FewestBefore;
        if (last < FewestBefore)
        {
            return null;
        }

        // Medians hardly differ a few pictures before and after a change; the step between two neighbours tells which it is.
        (int At, double Change, double Step)[] inside = [.. Enumerable.Range(FewestBefore, last - FewestBefore + 1).Select(k => (k, Change(pictures, k), LightInstant.Apart([pictures[k - 1]], [pictures[k]])))];
        double largest = inside.Max(p => p.Change);
        (int at, double change, double step) = inside.Where(p => p.Change >= NearlyAll * largest).MaxBy(p => p.Step);
        double[] elsewhere = [.. inside.Where(p => Math.Abs(p.At - at) >= Window).Select(p => p.Step)];
        double usual = elsewhere.Length == 0 ? 0 : Median.Of(elsewhere);
        return change < LeastChange || step < TimesUsual * usual
            ? null
            : ((pictures[at - 1].Seconds + pictures[at].Seconds) / 2, change);
    }

    private static double Change(IReadOnlyList<LightInstant> pictures, int at) =>
        LightInstant.Apart([.. pictures.Skip(at - Window).Take(Math.Min(at, Window))], [.. pictures.Skip(at).Take(Window)]);
}
