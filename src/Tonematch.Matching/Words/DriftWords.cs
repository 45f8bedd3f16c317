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
            what.Add(string.Create(CultureInfo.InvariantCulture, $"white balance wanders between warmer and cooler (by {track.RangeMired:0} mired; 10 can just be seen): automatic white balance was on"));
        }

        if (what.Count == 0)
        {
            what.Add("colour balance wanders between green and magenta");
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"{name}'s {string.Join("; its ", what)}. A correction file cannot follow that (a mean Delta E of {drift.ConstantMean:0.0} is left); a clip rendered with drift.csv does ({drift.FollowingMean:0.0}). Set it by hand next time.");
    }
}
