using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Tonematch.Pictures;

namespace Tonematch.Vision.Overlap;

/// <summary>The matches nearest to a point of the primary.</summary>
internal static class NearestMatches
{
    /// <summary>
    /// Up to <paramref name="count"/> matches, nearest first, in one pass that keeps the best so far: sorting thousands
    /// of matches at every point took most of the search time.
    /// </summary>
    /// <param name="matches">All matches.</param>
    /// <param name="point">The point, working pixels of the primary.</param>
    /// <param name="count">The largest number of matches.</param>
    /// <param name="reach">The largest distance, working pixels.</param>
    /// <param name="elsewhere">Whether to leave out matches at the point itself.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static List<(double Square, FeatureMatch Match)> Of(
        List<FeatureMatch> matches, PicturePoint point, int count, double reach = double.PositiveInfinity, bool elsewhere = false)
    {
        List<(double Square, FeatureMatch Match)> nearest = new(count + 1);
        double limit = reach * reach;
        foreach (ref readonly FeatureMatch match in CollectionsMarshal.AsSpan(matches))
        {
            double dx = match.Primary.X - point.X, dy = match.Primary.Y - point.Y, square = (dx * dx) + (dy * dy);
            if (square > limit || (elsewhere && square == 0))
            {
                continue;
            }

            int at = nearest.Count;
            while (at > 0 && nearest[at - 1].Square > square)
            {
                at--;
            }

            nearest.Insert(at, (square, match));
            if (nearest.Count > count)
            {
                nearest.RemoveAt(count);
                limit = Math.Min(limit, nearest[count - 1].Square);
            }
        }

        return nearest;
    }
}
