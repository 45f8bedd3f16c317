using System.Globalization;
using Tonematch.Drift;
using Tonematch.Matching.Outcome;

namespace Tonematch.Matching.Words;

/// <summary>Says what drifts, what it costs and what to do.</summary>
public static class DriftWords
{
    /// <summary>Sentences for people.</summary>
    /// <param name="drift">The drift.</param>
    /// <param name="name">The clip's name.</param>
    /// <param name="file">The name of the file with the drift.</param>
    public static string Say(DriftOutcome drift, string name, string file = "drift.csv")
    {
        ArgumentNullException.ThrowIfNull(drift);
        DriftTrack track = drift.Track;
        List<string> what = [];
        if (drift.IsExposure)
        {
            what.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"exposure wanders by {track.RangeStops:0.0#} stop, worst at {At(track.Worst.Seconds)}: automatic exposure was on"));
        }

        if (drift.IsWhiteBalance)
        {
            what.Add(string.Create(CultureInfo.InvariantCulture, $"white balance wanders between warmer and cooler (by {track.RangeMired:0} mired; 10 can just be seen): automatic white balance was on"));
        }

        if (what.Count == 0 && track.Points.Length == 1)
        {
            DriftValue level = track.Points[0].Value;
            string white = Math.Abs(level.Mired) >= DriftOutcome.NamedMired ? string.Create(CultureInfo.InvariantCulture, $", its white balance {Math.Abs(level.Mired):0} mired {(level.Mired < 0 ? "cooler" : "warmer")}") : "";
            what.Add(string.Create(
                CultureInfo.InvariantCulture,
                $"exposure is {Math.Abs(level.Stops):0.0#} stop {(level.Stops < 0 ? "below" : "above")} that of the clip the correction was made on{white}: an automatic was on"));
        }
        else if (what.Count == 0)
        {
            what.Add("colour balance wanders between green and magenta");
        }

        return string.Create(
            CultureInfo.InvariantCulture,
            $"{name}'s {string.Join("; its ", what)}. A correction file cannot follow that (it leaves a mean Delta E of {drift.Gain.FileAloneMean:0.0}); rendering the clip with {file} can ({drift.Gain.FollowingMean:0.0}). Set it by hand next time.");
    }

    /// <summary>
    /// What remains with one constant correction and with one that follows the drift, in one sentence.
    /// </summary>
    public static string Leaves(DriftOutcome drift)
    {
        ArgumentNullException.ThrowIfNull(drift);
        DriftLeft worst = drift.Gain.OverTime.MaxBy(i => i.Constant)!;
        return string.Create(
            CultureInfo.InvariantCulture,
            $"The best constant correction leaves a mean Delta E of {drift.Gain.ConstantMean:0.0}, and {worst.Constant:0.0} at {At(worst.Seconds)} of B; one that follows the changes leaves {drift.Gain.FollowingMean:0.0}, and {worst.Following:0.0} there.");
    }

    private static string At(double seconds)
    {
        TimeSpan time = TimeSpan.FromSeconds(Math.Max(0, seconds));
        return string.Create(CultureInfo.InvariantCulture, $"{(int)time.TotalMinutes}:{time.Seconds:00}");
    }
}
