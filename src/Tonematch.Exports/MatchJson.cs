using System.Text.Json;
using System.Text.Json.Serialization;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Exports;

/// <summary>match.json: every figure of a match for other programs. Documented in docs/formats.md.</summary>
public static class MatchJson
{
    /// <summary>The version of the layout: increased when a field changes its meaning.</summary>
    public const string Schema = "tonematch-match-1";

    private static readonly JsonSerializerOptions s_options = new()
    {
        PropertyNamingPolicy = JsonNamingPolicy.SnakeCaseLower,
        DictionaryKeyPolicy = JsonNamingPolicy.SnakeCaseLower,
        DefaultIgnoreCondition = JsonIgnoreCondition.Never,
        WriteIndented = true,
        NewLine = "\n",
        Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping, // File names stay readable; the file is not embedded in a page.
    };

    /// <summary>The whole outcome as JSON text.</summary>
    public static string Write(MatchOutcome outcome)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        return Write(Describe(outcome));
    }

    /// <summary>Any result of the program as JSON text in the same style.</summary>
    public static string Write(object value) => JsonSerializer.Serialize(value, s_options) + "\n";

    private static object Describe(MatchOutcome o) => new
    {
        Schema,
        Program = ProgramVersion.Text,
        Verdict = VerdictWords.Name(o.Verdict.Kind),
        VerdictFigure = new { o.Verdict.Figure.Mean, Of = VerdictWords.Name(o.Verdict.FigureOf) },
        VerdictReasons = o.Verdict.Reasons.Select(r => new
        {
            Cause = VerdictWords.Name(r.Cause),
            Calls = VerdictWords.Name(r.Calls),
            r.Value,
            r.Other,
            r.What,
            r.Against,
            Sentence = VerdictWords.Say(r),
        }),
        Method = o.Samples.Method.Name(),
        Primary = o.Clips is { } c ? Clip(c.Primary, o.Samples.PrimaryEncoding.Name) : new { Encoding = o.Samples.PrimaryEncoding.Name },
        Secondary = o.Clips is { } d ? Clip(d.Secondary, o.Samples.SecondaryEncoding.Name, inputIsPart: true) : new { Encoding = o.Samples.SecondaryEncoding.Name },
        Sync = o.Clips?.Sync is { } s ? Sync(s) : null,
        FramePairs = o.Clips?.Frames.Select(f => new { PrimarySeconds = f.Primary.Seconds, SecondarySeconds = f.Secondary.Seconds, f.Why }),
        Samples = new
        {
            Count = o.Samples.Pairs.Length,
            Groups = o.Samples.Pairs.Select(p => p.Group).Distinct(StringComparer.Ordinal).Count(),
            o.Samples.Rejected,
            NoiseFloorDeltaE = o.Samples.NoiseFloorDeltaE,
        },
        Coverage = o.Coverage is { } coverage ? new { coverage.Share, coverage.Uncovered } : null,
        Difference = new
        {
            o.Difference.ExposureStops,
            WarmerMired = o.Difference.White.Mired,
            GreenerDuv = o.Difference.White.Green,
            o.Difference.ContrastPercent,
            o.Difference.BlackLift,
            o.Difference.SaturationPercent,
            o.Difference.Zones,
            o.Difference.Stubborn,
            o.Difference.Summary,
            o.Difference.OnTheCamera,
        },
        Before = Statistics(o.Fit.Before),
        After = Statistics(o.Chosen.After),
        Advised = o.Fit.Advised.Correction.Kind.Name(),
        Chosen = o.Chosen.Candidate.Correction.Kind.Name(),
        Trim = o.Chosen.Candidate.Correction is TrimmedCorrection trimmed ? trimmed.Trim.Numbers.ToDictionary(n => n.Name, n => n.Value) : null,
        Models = o.Fit.Candidates.ToDictionary(m => m.Correction.Kind.Name(), m => new
        {
            Train = Statistics(m.Train),
            CrossValidated = m.CrossValidated is { } v ? Statistics(v) : null,
            CrossValidatedStandardError = m.CrossValidatedStandardError,
            UnseenPlaces = m.UnseenPlaces is { } place ? Statistics(place) : null,
            Numbers = m.Correction.Numbers.ToDictionary(n => n.Name, n => n.Value),
            m.HowItEnded,
        }),
        Places = o.Fit.Places.Select(p => new { p.Name, p.Pairs, p.Stops, p.Veil, Before = Statistics(p.Before), Unseen = p.Unseen is { } u ? Statistics(u) : null }),
        NotFitted = o.Fit.NotFitted.ToDictionary(n => n.Kind.Name(), n => n.Why),
        Lut = new
        {
            Nodes = o.Lut.Size,
            IsSafe = o.Chosen.Safety.IsSafe,
            BakingError = Difference(o.WithInput?.BakingError ?? o.Chosen.BakingError),
            Safety = o.Chosen.Safety.Findings.Select(f => new { f.Name, f.Value, f.Limit, Within = f.IsWithin, f.Sentence }),
        },
        OverTime = o.OverTime is { } t ? new { t.All, t.Zones, t.Steps, t.OneForAllMean, t.OnePerStateMean, Instants = t.OverTime } : null,
        Drift = o.Drift is { } drift ? Drift(drift) : null,
        LeftInLightness = new
        {
            o.Lightness.InSecondary.Deviation,
            o.Lightness.InSecondary.ByInstant,
            o.Lightness.InSecondary.ByArea,
            PrimaryByArea = o.Lightness.InPrimary.ByArea,
        },
        o.Tolerance,
        o.Warnings,
    };

    /// <summary>A drift of exposure and white balance as an object for JSON.</summary>
    public static object Drift(DriftOutcome drift)
    {
        ArgumentNullException.ThrowIfNull(drift);
        return new
        {
            drift.Track.RangeStops,
            drift.Track.RangeMired,
            WorstSeconds = drift.Track.Worst.Seconds,
            drift.Gain.ConstantMean,
            drift.Gain.FollowingMean,
            drift.Gain.FileAloneMean,
            drift.HeldOutShare,
            drift.Gain.OverTime,
        };
    }

    /// <summary>A clip's properties as an object for JSON.</summary>
    /// <param name="clip">The clip.</param>
    /// <param name="encoding">The encoding used for its code values; null for the clip's own.</param>
    /// <param name="inputIsPart">Whether the correction includes the clip's input LUT.</param>
    public static object Clip(ClipInfo clip, string? encoding = null, bool inputIsPart = false)
    {
        ArgumentNullException.ThrowIfNull(clip);
        return new
        {
            clip.Path,
            clip.Container,
            clip.Codec,
            clip.Width,
            clip.Height,
            RotationDegrees = clip.Orientation.ClockwiseDegrees(),
            SampleAspect = clip.SampleAspect.ToString(),
            clip.IsInterlaced,
            clip.PixelFormat,
            clip.BitDepth,
            clip.ChromaSubsampling,
            ChromaLocation = clip.ChromaLocation.ToString().ToLowerInvariant(),
            Range = clip.Range.ToString().ToLowerInvariant(),
            Matrix = clip.Matrix,
            clip.Primaries,
            clip.Transfer,
            clip.IccProfile,
            Encoding = encoding ?? clip.Encoding.Name,
            Input = clip.InputLut is { } input ? new { Path = Path.GetFullPath(input.Path), PartOfCorrection = inputIsPart } : null,
            FrameRate = clip.FrameRate.Value,
            FrameRateExact = clip.FrameRate.ToString(),
            TimeBase = clip.TimeBase.ToString(),
            clip.IsVariableRate,
            clip.DurationSeconds,
            StartSeconds = clip.ContainerStartSeconds,
            clip.AudioTracks,
            clip.Timecode,
            clip.IsStillImage,
            clip.Assumptions,
        };
    }

    /// <summary>A sync result as an object for JSON.</summary>
    public static object Sync(SyncFound sync)
    {
        ArgumentNullException.ThrowIfNull(sync);
        return new
        {
            sync.OffsetSeconds,
            sync.DriftPpm,
            sync.Confidence,
            Method = sync.Method.ToString().ToLowerInvariant(),
            sync.Evidence,
            sync.Warnings,
        };
    }

    private static object Statistics(DeltaEStatistics s) => new { s.Count, s.Mean, s.Median, s.Percentile95, s.Max };

    private static object Difference(LutDifference d) => new { DeltaE = Statistics(d.DeltaE), d.MeanCode, d.MaxCode };
}
