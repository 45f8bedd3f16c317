using System.Globalization;
using Tonematch.Media.Clips;
using Tonematch.Media.Frames;
using Tonematch.Pictures;
using Tonematch.Samples.Charts;
using Tonematch.Vision.Charts;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Where in a clip a chart was seen: the measurement at its best moment, and the time range around it.
/// </summary>
/// <param name="Seconds">The best moment.</param>
/// <param name="FromSeconds">When it was first seen.</param>
/// <param name="ToSeconds">When it was last seen.</param>
/// <param name="Found">The chart in the whole picture at the best moment.</param>
public sealed record ChartScan(double Seconds, double FromSeconds, double ToSeconds, ChartFound Found)
{
    private const int LookedAtSide = 960;
    private const int MostLooks = 600;
    private const double ClosestLooks = 1;

    // A chart that has not been seen for this long has been put away.
    private const double PutAwaySeconds = 5;

    // Keyframes may be further apart than a chart is held up, so the beginning, where charts are usually shown, is
    // searched second by second.
    private const double BeginningSeconds = 60;

    /// <summary>'from 3.00 to 5.00 s', or 'at 3.00 s'.</summary>
    public string When => FromSeconds == ToSeconds
        ? string.Create(CultureInfo.InvariantCulture, $"at {FromSeconds:0.00} s")
        : string.Create(CultureInfo.InvariantCulture, $"from {FromSeconds:0.00} to {ToSeconds:0.00} s");

    /// <summary>
    /// Searches a clip until the chart was seen and put away again; null if the clip does not show it.
    /// </summary>
    /// <param name="clip">A clip or a still picture.</param>
    /// <param name="chart">The chart to look for.</param>
    /// <param name="progress">Receives the share of the clip searched so far.</param>
    /// <param name="cancel">Stops the search.</param>
    /// <exception cref="UnusableInputException">The clip cannot be decoded.</exception>
    public static async Task<ChartScan?> FindAsync(ClipInfo clip, ChartReference chart, IProgress<double> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(clip);
        ArgumentNullException.ThrowIfNull(chart);
        ArgumentNullException.ThrowIfNull(progress);
        if (clip.IsStillImage)
        {
            return await MeasuredAsync(clip, chart, [(0, 1)], cancel);
        }

        double gap = Math.Max(ClosestLooks, clip.DurationSeconds / MostLooks);
        return await LookThroughAsync(clip, chart, new() { KeyframesOnly = true, MinGapSeconds = gap * 0.8, MaxSide = LookedAtSide }, progress, cancel)
            ?? await LookThroughAsync(clip, chart, new() { MinGapSeconds = ClosestLooks * 0.8, MaxSide = LookedAtSide, DurationSeconds = BeginningSeconds }, progress, cancel);
    }

    /// <summary>
    /// Where each of two clips shows the chart, in a sentence; for clips that do not show it at the same time.
    /// </summary>
    public static async Task<string> WhereShownAsync(ClipInfo primary, ClipInfo secondary, ChartReference chart, CancellationToken cancel)
    {
        ChartScan? a = await FindAsync(primary, chart, new Progress<double>(), cancel), b = await FindAsync(secondary, chart, new Progress<double>(), cancel);
        return (a, b) switch
        {
            (null, null) => "Neither clip shows it anywhere.",
            ({ } shown, null) => $"Camera A shows it {shown.When}, camera B nowhere.",
            (null, { } shown) => $"Camera B shows it {shown.When}, camera A nowhere.",
            ({ } inA, { } inB) => $"Camera A shows it {inA.When} of its clip, camera B {inB.When} of its own, which is not the same moment: show it to both cameras at once, or leave out --method.",
        };
    }

    private static async Task<ChartScan?> LookThroughAsync(
        ClipInfo clip, ChartReference chart, FrameSequenceOptions options, IProgress<double> progress, CancellationToken cancel)
    {
        double length = Math.Min(clip.DurationSeconds, options.DurationSeconds ?? double.PositiveInfinity);
        List<(double Seconds, double Goodness)> seen = [];
        await foreach (TimedPicture frame in FrameSequence.ReadAsync(clip, options, cancel))
        {
            using (frame)
            {
                progress.Report(Math.Clamp(frame.Seconds / length, 0, 1));
                if (await Task.Run(() => ChartFinder.Find(frame.Picture, chart, cancel), cancel) is ChartFound found)
                {
                    seen.Add((frame.Seconds, found.Match.ExplainedShare * found.Match.AgreeingCount));
                }
                else if (seen.Count > 0 && frame.Seconds > seen[^1].Seconds + PutAwaySeconds)
                {
                    break;
                }
            }
        }

        return await MeasuredAsync(clip, chart, seen, cancel);
    }

    // In the whole picture, at the best moment at which it is found at full size too.
    private static async Task<ChartScan?> MeasuredAsync(ClipInfo clip, ChartReference chart, List<(double Seconds, double Goodness)> seen, CancellationToken cancel)
    {
        foreach ((double seconds, double _) in seen.OrderByDescending(s => s.Goodness))
        {
            Picture picture = (await FrameReader.GrabAsync(clip, [seconds], cancel))[0].Picture;
            if (await Task.Run(() => ChartFinder.Find(picture, chart, cancel), cancel) is ChartFound found)
            {
                return new ChartScan(seconds, seen[0].Seconds, seen[^1].Seconds, found);
            }
        }

        return null;
    }
}
