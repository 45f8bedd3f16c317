using Tonematch.Matching.Outcome;
using Tonematch.Media.Clips;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Chooses instants at which frames of both clips are quick to decode: every frame since the previous keyframe must be
/// decoded, so an instant just after a keyframe of both costs a fraction of one just before the next keyframe.
/// </summary>
public static class QuickInstants
{
    // How far from its middle a window is searched, seconds: enough for keyframes two seconds apart, the usual distance
    // in recordings (common practice), without reading all of a long clip.
    private const double Reach = 3;

    // Read this much further, so that the neighbours of a chosen frame are known.
    private const double Beyond = 1.6;

    /// <summary>One instant in each of several equal windows of a range of the primary.</summary>
    /// <param name="clips">The clips; not stills.</param>
    /// <param name="from">Start of the range, in the primary's seconds.</param>
    /// <param name="to">Its end.</param>
    /// <param name="count">How many windows, 1 or more.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <returns>Presentation times of the primary, ascending; fewer than requested if windows hold no frame.</returns>
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

    /// <summary>The same from known frame times.</summary>
    /// <param name="primary">The primary's frames.</param>
    /// <param name="primaryCost">The cost of decoding one of them, in any unit.</param>
    /// <param name="secondary">The secondary's frames.</param>
    /// <param name="secondaryCost">The same for the secondary.</param>
    /// <param name="secondaryTime">Converts the primary's time to the secondary's.</param>
    /// <param name="middles">The middle of each window, ascending, in the primary's seconds.</param>
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

                // Among equally quick ones, the nearest to the middle: a second of distance counts as a thousandth of a
                // frame.
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

    // Frames to decode, counted from the keyframe.
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
