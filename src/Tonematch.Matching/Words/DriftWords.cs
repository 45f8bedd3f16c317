using System.Globalization;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Words;

/// <summary>Says what wanders, what it costs and what to do.</summary>
public static class DriftWords
{
    /// <summary>Sentences for people.</summary>
    /// <param name="drift">The course.</param>
    /// <param name="name">The clip's name.</param>
    public static string Say(DriftOutcome drift, string name)
    {
        ArgumentNullException.ThrowIfNull(drift);
        DriftTrack track = drift.Track;
        List<string> what = [];
        if (track.RangeStops >= 0.1)
        {
            TimeSpan worst = TimeSpan.FromSeconds(Math.Max(0, track.Worst.Seconds));
            what.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"exposure wanders by {track.RangeStops:0.0#} stop, worst at {(int)worst.TotalMinutes}:{worst.Seconds:00}: automatic exposure was on"));
        }

        if (track.RangeMired >= 8)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"white balance wanders by {track.RangeMired:0} mired: automatic white balance was on"));
        }

        if (what.Count == 0)
        {
            what.Add("colour balance wanders between green and magenta");
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"{name}'s {string.Join("; its ", what)}. One file for the editor cannot hold (mean Delta E {drift.ConstantMean:0.0}); the rendered clip follows it with drift.csv ({drift.FollowingMean:0.0}). Lock it next time.");
    }
}
