using System.Globalization;
using Tonematch.Corrections;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Matching.Words;

/// <summary>The outcome in sentences: the first lines on the terminal and in the report.</summary>
public static class MatchWords
{
    /// <summary>
    /// The first lines: the verdict with its reasons, the time offset, where the colours come from, and how the cameras
    /// differ.
    /// </summary>
    public static IReadOnlyList<string> Lines(MatchOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        Verdict verdict = outcome.Verdict;
        List<string> lines = [VerdictWords.Headline(verdict), .. VerdictWords.Reasons(verdict).Select(r => $"- {r}")];
        if (outcome.Clips?.Sync is { } sync)
        {
            lines.Add(InTime(sync, outcome.Clips.Primary.FrameRate.Value));
        }

        lines.Add($"{Source(outcome.Samples)}.");
        lines.Add(outcome.Chosen.Candidate.Correction.Kind == CorrectionKind.Identity
            ? string.Create(CultureInfo.InvariantCulture, $"The cameras are {outcome.Fit.Before.Mean:F2} Delta E apart on these colours, and no correction makes that better: the LUT changes nothing.")
            : string.Create(CultureInfo.InvariantCulture, $"As recorded these colours are {outcome.Fit.Before.Mean:F2} Delta E apart; the correction is of the kind {outcome.Chosen.Candidate.Correction.Kind.Name()}."));
        lines.Add(outcome.Difference.Summary);
        return lines;
    }

    /// <summary>Where B's clip begins on A's time line, and how that is known.</summary>
    /// <param name="sync">The time offset.</param>
    /// <param name="framesPerSecond">The frame rate of the time line: camera A's.</param>
    public static string InTime(SyncFound sync, double framesPerSecond)
    {
        ArgumentNullException.ThrowIfNull(sync);
        string by = sync.Method switch
        {
            SyncMethod.Sound => "by the sound",
            SyncMethod.Light => "by changes of light and motion",
            SyncMethod.Timecode => "by timecode",
            _ => "as given",
        };
        double begins = -sync.OffsetSeconds;
        string apart = Math.Abs(begins).ToString("F3", CultureInfo.InvariantCulture), at = AtFrames(Math.Abs(begins), framesPerSecond);
        string where = Math.Abs(begins) < 0.0005 ? "A and B begin at the same moment"
            : begins > 0 ? $"B begins {apart} s after A: put it at {at}"
            : $"B begins {apart} s before A: put A at {at} and B at the start";
        return string.Create(CultureInfo.InvariantCulture,
            $"{where} ({by}, confidence {sync.Confidence * 100:F0} %{(Math.Abs(sync.DriftPpm) >= 0.5 ? $", clocks {Math.Abs(sync.DriftPpm):0} millionths apart" : "")}).");
    }

    // Frames as editors count them; empty without a frame rate.
    private static string AtFrames(double seconds, double framesPerSecond)
    {
        if (!(framesPerSecond > 0))
        {
            return seconds.ToString("F3", CultureInfo.InvariantCulture) + " s";
        }

        int rate = (int)Math.Round(framesPerSecond);
        long frames = (long)Math.Round(seconds * framesPerSecond);
        long whole = frames / rate;
        return string.Create(CultureInfo.InvariantCulture, $"{whole / 3600:00}:{whole / 60 % 60:00}:{whole % 60:00}:{frames % rate:00} ({framesPerSecond:0.###} frames a second)");
    }

    /// <summary>Where the samples come from, without the full stop.</summary>
    public static string Source(SampleSet samples)
    {
        int onChart = samples.Pairs.Count(p => SampleLocality.IsChart(p.Locality));
        if (samples.Method == SamplingMethod.Chart && onChart < samples.Pairs.Length)
        {
            return string.Create(CultureInfo.InvariantCulture, $"{onChart} corresponding colours from the chart in both pictures and {samples.Pairs.Length - onChart} from around it");
        }

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
