using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Chooses instants at which both clips' frames are quick to take: a frame costs the decoding of all frames since the
/// keyframe before it, so instants just after a keyframe of both cost a small part of those just before the next one.
/// </summary>
public static class QuickInstants
{
    // Further from its middle than this a window's frame is not looked for: enough for keyframes two seconds apart,
    // the usual distance in recordings (common practice), and long clips are not read whole.
    private const double Reach = 3;

    // Read beyond that, so that the frames beside a chosen one are known when it is taken.
    private const double Beyond = 1.6;

    /// <summary>One instant in each of so many equal windows of a stretch of the primary.</summary>
    /// <param name="clips">The clips; not stills.</param>
    /// <param name="from">Begin of the stretch, in the primary's seconds.</param>
    /// <param name="to">Its end.</param>
    /// <param name="count">How many windows, 1 or more.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Presentation times of the primary, rising; fewer than asked for where windows hold no frame.</returns>
    public static async Task<double[]> ChooseAsync(
        SyncedClips clips, double from, double to, int count, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(clips.Sync);
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        double step = (to - from) / count, reach = Math.Min(step / 2, Reach);
        double[] middles = [.. Enumerable.Range(0, count).Select(i => from + (step * (i + 0.5)))];
        FrameTimes[] times = await Task.WhenAll(
            clips.Reader.TimesAroundAsync(clips.Primary, middles, reach + Beyond, cancel),
            clips.Reader.TimesAroundAsync(clips.Secondary, [.. middles.Select(m => Math.Max(0, clips.Sync.SecondaryTime(m)))], reach + Beyond, cancel));
        return Choose(times[0], Pixels(clips.Primary), times[1], Pixels(clips.Secondary), clips.Sync.SecondaryTime, middles, reach);
    }

    /// <summary>The same from times that are known.</summary>
    /// <param name="primary">The primary's frames.</param>
    /// <param name="primaryCost">What decoding one of them costs, in any unit.</param>
    /// <param name="secondary">The secondary's frames.</param>
    /// <param name="secondaryCost">The same of the secondary.</param>
    /// <param name="secondaryTime">From the primary's to the secondary's time.</param>
    /// <param name="middles">The middle of each window, rising, in the primary's seconds.</param>
    /// <param name="reach">How far from the middle a frame may be.</param>
    public static double[] Choose(
        FrameTimes primary, double primaryCost, FrameTimes secondary, double secondaryCost, Func<double, double> secondaryTime,
        IEnumerable<double> middles, double reach)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(secondaryTime);
        ArgumentNullException.ThrowIfNull(middles);
        SortedSet<double> chosen = [];
        foreach (double middle in middles)
        {
            double best = double.PositiveInfinity;
            int at = -1;
            for (int i = Math.Max(0, primary.IndexAt(middle - reach)); i < primary.Count && primary.Seconds[i] <= middle + reach; i++)
            {
                double t = primary.Seconds[i];
                int other = secondary.NearestTo(secondaryTime(t));
                if (t < middle - reach || other < 0)
                {
                    continue;
                }

                // Of equally quick ones the nearest to the middle: a thousandth of a frame's cost a second decides.
                double cost = (primaryCost * Decoded(primary, i)) + (secondaryCost * Decoded(secondary, other))
                    + (0.001 * primaryCost * Math.Abs(t - middle));
                if (cost < best)
                {
                    (best, at) = (cost, i);
                }
            }

            if (at >= 0)
            {
                chosen.Add(primary.Seconds[at]);
            }
        }

        return [.. chosen];
    }

    private static double Pixels(ClipInfo clip) => (double)clip.StoredWidth * clip.StoredHeight;

    // Frames to decode from the keyframe on.
    private static int Decoded(FrameTimes times, int index)
    {
        int key = index;
        while (key > 0 && !times.IsKeyframe[key])
        {
            key--;
        }

        return index - key + 1;
    }
}
