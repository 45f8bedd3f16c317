using System.Globalization;
using Tonematch.Corrections;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Words;

/// <summary>The outcome in sentences: what stands first on the terminal and in the report.</summary>
public static class MatchWords
{
    /// <summary>The verdict, a line each: how the clips lie in time, where the colours come from, before and after.</summary>
    public static IReadOnlyList<string> Verdict(MatchOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        List<string> lines = [];
        if (outcome.Clips?.Sync is { } sync)
        {
            lines.Add(InTime(sync));
        }

        lines.Add(string.Create(CultureInfo.InvariantCulture, $"{Source(outcome.Samples)}."));
        lines.Add(outcome.Chosen.Candidate.Correction.Kind == CorrectionKind.Identity
            ? string.Create(CultureInfo.InvariantCulture, $"The cameras are {outcome.Fit.Before.Mean:F2} Delta E apart on average, and no correction makes that better: the LUT changes nothing.")
            : string.Create(CultureInfo.InvariantCulture, $"Delta E {outcome.Fit.Before.Mean:F2} before, {outcome.Chosen.After.Mean:F2} after the correction ({outcome.Chosen.Candidate.Correction.Kind.Name()}): {Visibility(outcome.Chosen.After.Mean)}."));
        lines.Add(outcome.Difference.Summary);
        return lines;
    }

    /// <summary>How visible a mean CIEDE2000 is, in plain words (common practice, see docs/guide.md).</summary>
    public static string Visibility(double deltaE) => deltaE switch
    {
        < 1 => "not visible, even side by side",
        < 2 => "hard to see side by side",
        < 4 => "visible side by side, hardly in a cut",
        < 8 => "visible in a cut",
        _ => "clearly another colour",
    };

    /// <summary>The offset in words.</summary>
    public static string InTime(SyncFound sync)
    {
        ArgumentNullException.ThrowIfNull(sync);
        string by = sync.Method switch
        {
            SyncMethod.Sound => "by the sound",
            SyncMethod.Light => "by changes of light and motion",
            SyncMethod.Timecode => "by timecode",
            _ => "as given",
        };
        return string.Create(CultureInfo.InvariantCulture,
            $"The same moment comes {Math.Abs(sync.OffsetSeconds):F3} s {(sync.OffsetSeconds >= 0 ? "later" : "earlier")} in the secondary ({by}, confidence {sync.Confidence * 100:F0} %{(Math.Abs(sync.DriftPpm) >= 0.5 ? $", clocks {sync.DriftPpm:+0;-0} ppm apart" : "")}).");
    }

    /// <summary>Where the samples come from, without the full stop.</summary>
    public static string Source(SampleSet samples)
    {
        int groups = samples.Pairs.Select(p => p.Group).Distinct(StringComparer.Ordinal).Count();
        string pairs = samples.Pairs.Length == groups
            ? string.Create(CultureInfo.InvariantCulture, $"{samples.Pairs.Length} corresponding colours")
            : string.Create(CultureInfo.InvariantCulture, $"{samples.Pairs.Length} corresponding colours in {groups} groups");
        return samples.Method switch
        {
            SamplingMethod.Chart => $"{pairs} from the chart in both pictures",
            SamplingMethod.Overlap => $"{pairs} from objects that both cameras saw",
            SamplingMethod.Regions => $"{pairs} from the regions marked",
            SamplingMethod.Overall => "No common objects: the pictures were compared as a whole, so confidence is low",
            _ => $"{pairs} from the file",
        };
    }
}
