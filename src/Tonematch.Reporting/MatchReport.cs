using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Drift;
using Tonematch.Fitting;
using Tonematch.Luts;
using Tonematch.Luts.Tables;
using Tonematch.Matching;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;

namespace Tonematch.Reporting;

/// <summary>The report of a match's outcome.</summary>
public static class MatchReport
{
    private const int MostFrames = 4;

    /// <summary>The page of an outcome. Reads nothing but its arguments.</summary>
    /// <param name="outcome">The result of the match.</param>
    /// <param name="context">What else the report says.</param>
    public static string Render(MatchOutcome outcome, ReportContext? context = null) => ReportPage.Render(Model(outcome, context));

    /// <summary>The report as a model, before it becomes a page.</summary>
    public static ReportModel Model(MatchOutcome outcome, ReportContext? context = null)
    {
        ArgumentNullException.ThrowIfNull(outcome);
        context ??= new ReportContext();
        SampleSet samples = outcome.Samples;
        BakedCorrection chosen = outcome.Chosen;
        LutEngine engine = new(chosen.Lut);
        ImmutableArray<ReportPair> pairs = [.. samples.Pairs.Select((p, i) => Pair(p, chosen, samples, i))];
        return new ReportModel
        {
            Verdict = outcome.Verdict,
            Lead = [outcome.Difference.Summary],
            Kind = chosen.Candidate.Correction.Kind.Name(),
            Primary = outcome.Clips is { } a ? Clip(a.Primary, samples.PrimaryEncoding) : null,
            Secondary = outcome.Clips is { } b ? Clip(b.Secondary, samples.SecondaryEncoding) : null,
            Sync = outcome.Clips?.Sync is { } sync ? Sync(outcome.Clips, sync, engine, samples.PrimaryEncoding, outcome.Drift?.Track) : null,
            FirstLook = First(outcome, samples, engine, pairs),
            CutTest = context.CutTest,
            Frames = outcome.Clips is { } clips ? Frames(clips, samples, engine, outcome.Drift?.Track) : [],
            Encoding = samples.PrimaryEncoding,
            SecondaryEncoding = samples.SecondaryEncoding,
            SampleSource = MatchWords.Source(samples) + ".",
            Pairs = pairs,
            Rejected = samples.Rejected,
            NoiseFloorDeltaE = samples.NoiseFloorDeltaE,
            Before = outcome.Fit.Before,
            After = chosen.After,
            CrossValidated = chosen.Candidate.CrossValidated,
            Tolerance = outcome.Tolerance,
            Kinds = [.. outcome.Fit.Candidates.Where(c => c.Correction.Kind != CorrectionKind.Identity).Select(c => new ReportKind(
                c.Correction.Kind.Name(), c.Correction.Numbers.Count, c.Train, c.CrossValidated, c.UnseenPlaces, c.CrossValidatedStandardError,
                c.Correction.Kind == outcome.Fit.Advised.Correction.Kind, c.Correction.Kind == chosen.Candidate.Correction.Kind))],
            NotFitted = [.. outcome.Fit.NotFitted.Select(n => (n.Kind.Name(), n.Why))],
            LutNodes = chosen.Lut.Size,
            Safety = chosen.Safety,
            OverTime = outcome.OverTime,
            Drift = outcome.Drift,
            Warnings = outcome.Warnings,
            Next = [.. Next(outcome, context.IsHandedOver)],
            NextTime = [.. NextTime(outcome)],
            Curves = chosen.Candidate.Correction.Kind == CorrectionKind.Identity ? [] : [.. Enumerable.Range(0, 129).Select(i => LutInterpolation.Tetrahedral(chosen.Lut, CodeRgb.Grey(i / 128.0)))],
            HowComputed = [.. How(outcome, context)],
        };
    }

    private static ReportPair Pair(SamplePair p, BakedCorrection chosen, SampleSet samples, int index) => new(
        p.Id, p.Label, p.Primary, p.Secondary, chosen.Corrected(p),
        DeltaE2000.Between(samples.PrimaryEncoding.ToLab(p.Primary), samples.SecondaryEncoding.ToLab(p.Secondary)),
        chosen.PairDeltaE[index], p.Weight, p.Origin);

    // The instant with the most samples comes first (the rings can be shown there), the others follow in time order.
    private static ImmutableArray<ReportFrame> Frames(MatchedClips clips, SampleSet samples, LutEngine engine, DriftTrack? course)
    {
        int SamplesIn(MatchedFrames f) => samples.Pairs.Count(p => p.Origin is { } o
            && Math.Abs(o.PrimarySeconds - f.Primary.Seconds) < 0.02 && Math.Abs(o.SecondarySeconds - f.Secondary.Seconds) < 0.02);
        if (clips.Frames.IsDefaultOrEmpty)
        {
            return [];
        }

        MatchedFrames first = clips.Frames.MaxBy(SamplesIn)!;
        MatchedFrames[] rest = [.. clips.Frames.Where(f => f != first)];
        int step = Math.Max(1, (int)Math.Ceiling(rest.Length / (double)(MostFrames - 1)));
        bool sameView = SameView(samples, first);
        return [.. new[] { first }.Concat(rest.Where((_, i) => i % step == 0)).Select(f => Frame(f, engine, samples.PrimaryEncoding, course) with { SameView = sameView })];
    }

    // The subject, not an instant at which a chart hides it.
    private static FirstLook? First(MatchOutcome outcome, SampleSet samples, LutEngine engine, ImmutableArray<ReportPair> pairs) =>
        outcome.Clips is not { Frames.IsDefaultOrEmpty: false } clips
            ? null
            : FirstLook.Of(Frame(clips.Performance ?? clips.Frames[clips.Frames.Length / 2], engine, samples.PrimaryEncoding, outcome.Drift?.Track), pairs, samples.Method != SamplingMethod.Chart);

    private static ReportFrame Frame(MatchedFrames f, LutEngine engine, SignalEncoding encoding, DriftTrack? course)
    {
        // A page needs no more pixels, and the LUT then has less to do.
        Picture secondary = f.Secondary.Picture;

        // As in the rendered clip.
        Picture still = course is null ? secondary : Still(secondary, course.At(f.Secondary.Seconds));
        return new ReportFrame(f.Primary.Seconds, f.Secondary.Seconds, f.Primary.Picture, secondary, engine.Apply(still, encoding), f.Why);
    }

    // A gain in linear light changes each channel separately, so one curve per channel is exact to its step size.
    private static Picture Still(Picture picture, DriftValue drift)
    {
        const int steps = 4096;
        CodeRgb[] curves = [.. Enumerable.Range(0, steps + 1).Select(i => drift.TakeOutOf(CodeRgb.Grey(i / (double)steps), picture.Encoding))];
        static float[] Through(ReadOnlySpan<float> plane, CodeRgb[] curves, Func<CodeRgb, double> channel)
        {
            float[] curve = [.. curves.Select(c => (float)channel(c))], result = new float[plane.Length];
            for (int i = 0; i < plane.Length; i++)
            {
                result[i] = curve[(int)Math.Round(Math.Clamp(plane[i], 0f, 1f) * steps)];
            }

            return result;
        }

        return new Picture(
            picture.Width, picture.Height, Through(picture.R, curves, c => c.R), Through(picture.G, curves, c => c.G), Through(picture.B, curves, c => c.B), picture.Encoding);
    }

    // The same view: pictures of one size, and at least four samples, all at the same places in both.
    private static bool SameView(SampleSet samples, MatchedFrames frames)
    {
        SampleOrigin[] origins = [.. samples.Pairs.Where(p => p.Origin is not null).Select(p => p.Origin!)];
        const double near = 0.004;
        return frames.Primary.Picture.Width == frames.Secondary.Picture.Width && frames.Primary.Picture.Height == frames.Secondary.Picture.Height
            && origins.Length >= 4
            && origins.All(o => Math.Abs(o.Primary.X - o.Secondary.X) < near && Math.Abs(o.Primary.Y - o.Secondary.Y) < near);
    }

    private static ReportSync Sync(MatchedClips clips, SyncFound sync, LutEngine engine, SignalEncoding encoding, DriftTrack? course)
    {
        List<(string, string)> figures =
        [
            ("The same moment", string.Create(CultureInfo.InvariantCulture, $"comes {Math.Abs(sync.OffsetSeconds):0.0000} s {(sync.OffsetSeconds < 0 ? "earlier" : "later")} in camera B's clip than in camera A's")),
            ("Clocks", Math.Abs(sync.DriftPpm) < 0.05
                ? "equally fast"
                : string.Create(CultureInfo.InvariantCulture, $"camera B's runs {Math.Abs(sync.DriftPpm):0.0} millionths {(sync.DriftPpm < 0 ? "slower" : "faster")}, {3.6 * Math.Abs(sync.DriftPpm):0} ms per hour")),
            ("Confidence", string.Create(CultureInfo.InvariantCulture, $"{100 * sync.Confidence:F1} %")),
        ];
        SyncEvidence e = sync.Evidence;
        if (e.OverlapSeconds > 0)
        {
            figures.Add(("Overlap", string.Create(CultureInfo.InvariantCulture, $"{e.OverlapSeconds:F1} s, from {e.OverlapStartSeconds:F1} s of camera A")));
        }

        if (e.Windows > 0)
        {
            figures.Add(("Agreement", string.Create(CultureInfo.InvariantCulture, $"{e.AgreeingWindows} of {e.Windows} sections, measured separately, agree within 2 ms")));
        }

        if (e.OffsetErrorSeconds > 0)
        {
            figures.Add(("Sure to about", string.Create(CultureInfo.InvariantCulture, $"{1000 * e.OffsetErrorSeconds:F2} ms (standard error)")));
        }

        if (e.PeakOverChance > 0)
        {
            figures.Add(("Against chance", string.Create(CultureInfo.InvariantCulture, $"at this offset the two agree {(e.PeakOverChance >= 12 ? "far better" : "better")} than unrelated recordings do ({e.PeakOverChance:F0} standard deviations); the next best offset reaches {100 * e.NextBest:F0} % of that")));
        }

        return new ReportSync(MatchWords.InTime(sync, clips.Primary.FrameRate.Value), [.. figures])
        {
            Sound = clips.Sound,
            Frame = clips.AtMoment is { } at ? Frame(at, engine, encoding, course) : null,
        };
    }

    private static ReportClip Clip(ClipInfo clip, SignalEncoding encoding)
    {
        List<(string, string)> facts = [("Picture", string.Create(CultureInfo.InvariantCulture, $"{clip.Width} x {clip.Height}"))];
        if (!clip.IsStillImage)
        {
            facts.Add(("Frames per second", string.Create(CultureInfo.InvariantCulture, $"{clip.FrameRate.Value:0.###}{(clip.IsVariableRate ? ", variable" : "")}")));
            facts.Add(("Length", string.Create(CultureInfo.InvariantCulture, $"{clip.DurationSeconds:F2} s")));
        }

        facts.Add(("Codec", $"{clip.Codec}, {clip.PixelFormat}"));
        facts.Add(("Colour", $"{encoding.Title}, {clip.Range.ToString().ToLowerInvariant()} range"));
        if (clip.InputLut is { Path: var input })
        {
            facts.Add(("Input LUT", Path.GetFileName(input)));
        }

        if (clip.Timecode is { } timecode)
        {
            facts.Add(("Timecode", timecode));
        }

        facts.Add(("Sound", clip.AudioTracks.IsEmpty ? "none" : string.Create(CultureInfo.InvariantCulture, $"{clip.AudioTracks.Length} track{(clip.AudioTracks.Length == 1 ? "" : "s")}")));
        return new ReportClip(Path.GetFileName(clip.Path), [.. facts]) { Assumptions = clip.Assumptions };
    }

    private static IEnumerable<string> Next(MatchOutcome outcome, bool handedOver)
    {
        if (!handedOver)
        {
            yield return "No correction was written, because of the verdict. Fix what it names and match again; --even-so writes the correction as it is.";
        }
        else if (outcome.Chosen.Candidate.Correction.Kind == CorrectionKind.Identity)
        {
            yield return "Leave camera B as it is, or film again and show both cameras a colour chart for a few seconds.";
        }
        else
        {
            yield return outcome.Drift is null
                ? $"Load correction.cube on every clip of camera B, before any other look; apply it to the clip as it was recorded{(outcome.WithInput is { Input.Path: var input } ? $", without {Path.GetFileName(input)}, which is in it" : "")}."
                : "Render this clip of camera B with drift.csv (tonematch render with --correction correction.cube and --drift drift.csv) and cut with the result: no file that an editor loads can follow the changes.";
            FittedCandidate? cdl = outcome.Fit.Candidates.FirstOrDefault(c => c.Correction.Kind == CorrectionKind.Cdl);
            if (cdl is not null && outcome.WithInput is null && outcome.Chosen.Candidate.Correction.Kind > CorrectionKind.Cdl)
            {
                double cost = cdl.HeldOutOrFitted.Mean - outcome.Chosen.Candidate.HeldOutOrFitted.Mean;
                yield return string.Create(CultureInfo.InvariantCulture, $"An editor without LUTs can take the CDL instead: it {(cost < 0.05 ? "costs nothing here" : $"costs {cost:F1} Delta E more on average")}.");
            }

            yield return outcome.Clips is null
                ? "Cut between both cameras, and look at a face, a white and a black before you render."
                : "Look at the cuts on this page, or at longer ones (tonematch render with --cut-test), at a face, a white and a black, before you render.";
        }

    }

    private static IEnumerable<string> NextTime(MatchOutcome outcome)
    {
        if (outcome.Samples.Method is SamplingMethod.Overall or SamplingMethod.Overlap)
        {
            yield return "Show both cameras a colour chart for five seconds, in the light of the scene: nothing makes a match more reliable.";
        }

        foreach (string set in outcome.NextTime)
        {
            yield return set;
        }
    }

    private static IEnumerable<(string, string)> How(MatchOutcome outcome, ReportContext context)
    {
        yield return ("Program", ProgramVersion.Text);
        if (context.Command is { } command)
        {
            yield return ("Command", command);
        }

        foreach ((string, string) fact in context.Facts)
        {
            yield return fact;
        }

        Correction correction = outcome.Chosen.Candidate.Correction;
        yield return ("Correction", correction.Numbers.Count is > 0 and <= 24
            ? $"{correction.Kind.Name()}: {string.Join(", ", correction.Numbers.Select(n => string.Create(CultureInfo.InvariantCulture, $"{n.Name} {n.Value:0.######}")))}"
            : correction.Kind.Name());
        yield return ("How the fit ended", outcome.Chosen.Candidate.HowItEnded);
        LutDifference baking = outcome.WithInput?.BakingError ?? outcome.Chosen.BakingError;
        yield return ("LUT against the exact correction", string.Create(CultureInfo.InvariantCulture,
            $"mean {baking.DeltaE.Mean:0.000}, largest {baking.DeltaE.Max:0.000} Delta E{(outcome.WithInput is null ? "" : ", with the input LUT in both")}"));
    }
}
