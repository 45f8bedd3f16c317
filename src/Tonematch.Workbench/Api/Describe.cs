using System.Collections.Immutable;
using System.Globalization;
using System.Text.RegularExpressions;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Media.Clips;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Sync;
using Tonematch.Workbench.Files;
using Tonematch.Workbench.Jobs;
using Tonematch.Workbench.Pictures;
using Tonematch.Workbench.Session;
using Tonematch.Workbench.Sound;

namespace Tonematch.Workbench.Api;

/// <summary>Makes the page's messages from the program's data.</summary>
internal static partial class Describe
{
    // The limits of 'holds' and 'fails': visible side by side, and visible in a cut (from the program's scale of
    // words).
    private const double Holds = 2, Fails = 4;

    private static readonly Dictionary<CorrectionKind, string> s_titles = new()
    {
        [CorrectionKind.Identity] = "As recorded",
        [CorrectionKind.Gains] = "Exposure and white balance",
        [CorrectionKind.LiftGammaGain] = "Lift, gamma, gain",
        [CorrectionKind.Cdl] = "Slope, offset, power, saturation (CDL)",
        [CorrectionKind.Matrix] = "Colour matrix",
        [CorrectionKind.CurvesMatrix] = "Curves and matrix",
        [CorrectionKind.RootPolynomial] = "Root polynomial",
        [CorrectionKind.Lattice] = "Fine grid",
    };

    /// <summary>A clip.</summary>
    public static async Task<ClipMessage> ClipAsync(ClipShelf shelf, PreviewCopies previews, string id, CancellationToken cancel)
    {
        ClipMessage clip = new(id, ClipShelf.NameOf(id));
        try
        {
            ClipInfo info = await shelf.InfoAsync(id, cancel);
            FileInfo file = new(info.Path);
            return clip with
            {
                Facts = [.. ClipShelf.Facts(info)],
                Doubts = info.Assumptions,
                IsStill = info.IsStillImage,
                Duration = info.DurationSeconds,
                Rate = info.FrameRate.Value,
                Width = info.Width,
                Height = info.Height,
                HasSound = !info.AudioTracks.IsEmpty,
                IsHdr = info.IsHdr,
                IsWideGamut = info.Encoding.Primaries != RgbPrimaries.Bt709,
                MayPlay = info is { BitDepth: 8, ChromaSubsampling: "4:2:0", IsStillImage: false } && info.Codec is "h264" or "vp9" or "vp8" or "av1" && info.Primaries is not null && info.Transfer is not null,
                Type = TypeOf(info.Path),
                Size = file.Exists ? file.Length : 0,
                Modified = file.Exists ? new DateTimeOffset(file.LastWriteTimeUtc).ToUnixTimeMilliseconds() : 0,
                HasPreview = !info.IsStillImage && previews.Has(info),
            };
        }
        catch (UnusableInputException e)
        {
            return clip with { Problem = e.Message };
        }
    }

    // What is shown is one table for the whole clip; what is measured and handed over is not.
    private const string Followed = "The pictures on this page have one correction for the whole clip. The clip and the cuts of the hand-over follow the changes, and the verdict is about them.";

    /// <summary>The match of a clip of camera B, as far as it is done.</summary>
    public static MatchMessage Match(ClipShelf shelf, WorkDesk desk, string path)
    {
        MatchMessage message = new(shelf.IdOf(path) ?? "");
        MatchWork work = desk.WorkOf(path);
        MatchTask? task = desk.TaskOf(path);
        if (work.Latest is not { } fit || work.Clips is not { } clips || task is null)
        {
            return message;
        }

        (long version, string problem) = desk.FitOf(path);
        BakedCorrection chosen = fit.Result.Chosen;
        bool current = work.Finished?.Key == task.Key;
        MatchOutcome? outcome = work.Finished?.Outcome;
        Verdict verdict = current ? outcome!.Verdict : fit.Verdict;
        DeltaEStatistics untrimmed = chosen.Candidate.Correction is TrimmedCorrection trimmed
            ? DeltaEStatistics.Of([.. fit.Used.Pairs.Select(p => Colour.DeltaE.DeltaE2000.Between(
                fit.Used.PrimaryEncoding.ToLab(p.Primary.Clamped()), fit.Used.PrimaryEncoding.ToLab(trimmed.Inner.Apply(p.Secondary).Clamped())))], [.. fit.Used.Pairs.Select(p => p.Weight)])
            : chosen.After;
        return message with
        {
            Status = work.SampledWith == task.SamplingKey ? "ready" : "stale",
            Sync = clips.Sync is { } sync ? Sync(clips, sync, clips.Sound?.MomentSeconds) : null,
            Source = MatchWork.Source(fit.Used),
            Method = fit.Used.Method.Name(),
            Pairs = fit.Used.Pairs.Length,
            Before = fit.Result.Fit.Before.Mean,
            After = chosen.After.Mean,
            AfterWithoutTrim = untrimmed.Mean,
            HeldOut = chosen.Candidate.CrossValidated?.Mean,
            Verdict = MatchWork.Name(verdict.Kind),
            Headline = MatchWork.Headline(verdict),
            Figure = verdict.Figure.Mean,
            FigureOn = MatchWork.On(verdict.FigureOf),
            Reasons = [.. MatchWork.Reasons(verdict).Select(r => Plain(r, clips))],
            Chosen = chosen.Candidate.Correction.Kind.Name(),
            Advised = fit.Result.Fit.Advised.Correction.Kind.Name(),
            Kinds = Kinds(fit.Result.Fit),
            Warnings = [.. current && outcome!.Drift is not null ? [Followed] : (string[])[], .. (current ? outcome!.Warnings : [.. fit.Result.TrimNote is { } note ? [note] : (string[])[], .. fit.Used.Warnings, .. fit.Result.Warnings, .. fit.Result.Fit.Warnings]).Select(w => Plain(w, clips))],
            Difference = outcome is null ? "" : Plain(outcome.Difference.Summary, clips),
            LutVersion = version,
            FitMilliseconds = fit.Milliseconds,
            OverTime = outcome?.OverTime is { } check ? [.. check.OverTime.Select(i => new InstantMessage(
                i.PrimarySeconds, i.DeltaE.Mean, i.DeltaE.Percentile95, i.DeltaE.Mean < Holds ? "holds" : i.DeltaE.Mean < Fails ? "doubtful" : "fails", i.ExposureStops))] : [],
            OverTimeIsCurrent = current,
            Moments = [.. clips.Frames.Select(f => f.Primary.Seconds)],
            Problem = problem,
        };
    }

    /// <summary>The corresponding colours, including those taken out.</summary>
    public static PairMessage[] Pairs(MatchWork.Fitted fit)
    {
        SampleEdits edits = fit.Task.Request.Edits;
        HashSet<string> found = [.. fit.Found.Pairs.Select(p => p.Id)];
        ILookup<string, SamplePair> used = fit.Used.Pairs.ToLookup(p => p.Id);
        return [.. fit.Found.Pairs.Concat(fit.Marked.SelectMany(m => m.Pairs)).DistinctBy(p => p.Id).Select(p =>
        {
            CodeRgb corrected = fit.Corrected(p.Secondary);
            Lab a = fit.Used.PrimaryEncoding.ToLab(p.Primary), b = fit.Used.SecondaryEncoding.ToLab(p.Secondary), m = fit.Used.PrimaryEncoding.ToLab(corrected);
            return new PairMessage(p.Id, p.Group, p.Label.Length > 0 ? p.Label : PlainColourNames.Of(a))
            {
                IsOut = edits.LeftOut.Contains(p.Id),
                IsMarked = !found.Contains(p.Id),
                T = p.Origin?.PrimarySeconds ?? 0,
                A = Place(p.Origin?.Primary),
                B = Place(p.Origin?.Secondary),
                Before = Short(fit.Before(p)),
                After = Short(fit.After(p)),
                Weight = edits.Weights.GetValueOrDefault(p.Group, 1),
                ColourA = Hex(p.Primary),
                ColourB = Hex(p.Secondary),
                ColourMatched = Hex(corrected),
                Ab = [Short(a.A), Short(a.B), Short(b.A), Short(b.B), Short(m.A), Short(m.B)],
            };
        })];
    }

    /// <summary>The session with clips as ids.</summary>
    public static SessionMessage Session(WorkbenchSession session, ClipShelf shelf) => new(
        session.Primary is { } p ? shelf.IdOf(p) : null,
        [.. session.Secondaries.Select(m => new SessionMatchMessage(shelf.IdOf(m.Clip) ?? "")
        {
            OffsetSeconds = m.OffsetSeconds,
            DriftPpm = m.DriftPpm,
            Method = m.Method?.Name(),
            Chart = m.Chart,
            At = m.At,
            PrimaryChart = Points(m.PrimaryChart),
            SecondaryChart = Points(m.SecondaryChart),
            LeftOut = [.. m.Edits.LeftOut],
            Weights = m.Edits.Weights.ToDictionary(),
            Regions = [.. m.Edits.Marked.Select(r => new RegionMessage(r.Name, Points(r.Primary.Corners)!, Points(r.Secondary.Corners)!, r.AtSeconds))],
            Model = m.Model?.Name(),
            Trim = m.Trim.Numbers.ToDictionary(n => n.Name, n => n.Value),
        })],
        session.LutSize);

    /// <summary>The session from a page's message.</summary>
    /// <exception cref="UnusableInputException">A clip cannot be in these folders, or a value cannot be used.</exception>
    public static WorkbenchSession Session(SessionMessage message, ClipShelf shelf)
    {
        try
        {
            return new WorkbenchSession
            {
                Primary = message.Primary is { } p ? shelf.PlaceOf(p) : null,
                LutSize = message.LutSize is >= 2 and <= 129 ? message.LutSize : throw new UnusableInputException("A LUT has from 2 to 129 nodes per side."),
                Secondaries = [.. message.Secondaries.Select(m => new SessionMatch(shelf.PlaceOf(m.Clip))
                {
                    OffsetSeconds = m.OffsetSeconds is null or (> -1e6 and < 1e6) ? m.OffsetSeconds : throw new UnusableInputException("The offset is not a number of seconds."),
                    DriftPpm = m.DriftPpm,
                    Method = m.Method is { } method ? Enum.Parse<SamplingMethod>(method, ignoreCase: true) : null,
                    Chart = m.Chart,
                    At = [.. m.At],
                    PrimaryChart = Corners(m.PrimaryChart),
                    SecondaryChart = Corners(m.SecondaryChart),
                    Edits = new SampleEdits
                    {
                        LeftOut = SampleEdits.None.LeftOut.Union(m.LeftOut),
                        Weights = SampleEdits.None.Weights.AddRange(m.Weights.Select(w => KeyValuePair.Create(w.Key, Math.Clamp(w.Value, SampleEdits.LeastWeight, SampleEdits.GreatestWeight)))),
                        Marked = [.. m.Regions.Select(r => new RegionPair(r.Name, Shape(r.Primary), Shape(r.Secondary), r.At))],
                    },
                    Model = m.Model is not { } name ? null : CorrectionKinds.TryParse(name, out CorrectionKind? kind) ? kind : throw new UnusableInputException($"The kind of correction '{name}' is not known."),
                    Trim = Trim.Of(m.Trim.Select(t => (t.Key, t.Value))),
                })],
            };
        }
        catch (ArgumentException e)
        {
            throw new UnusableInputException(e.Message, e);
        }
    }

    /// <summary>Where a clip of camera B begins on camera A's clock, in words.</summary>
    public static string Begins(MatchedClips clips, SyncFound sync)
    {
        double at = sync.PrimaryTime(0);
        double rate = clips.Primary.FrameRate.Value;
        string own = ClockText.Of(at, rate);
        string counted = clips.Primary.Timecode is { } text && Timecode.TryParse(text, rate, out Timecode? code, out _)
            ? $"; by camera A's timecode at {ClockText.Of(code.Seconds + at, rate)}"
            : "";
        return $"{Path.GetFileName(clips.Secondary.Path)} begins at {own} of {Path.GetFileName(clips.Primary.Path)} (hours:minutes:seconds:frames from its first frame{counted}).";
    }

    /// <summary>The media type for the browser.</summary>
    public static string TypeOf(string path) => Path.GetExtension(path).ToLowerInvariant() switch
    {
        ".mp4" or ".m4v" => "video/mp4",
        ".mov" => "video/mp4", // The same container; browsers play it only under this name.
        ".mkv" or ".webm" => "video/webm",
        _ => "application/octet-stream",
    };

    /// <summary>A code value for the page: the signal itself, clamped to 0..1.</summary>
    public static string Hex(CodeRgb code)
    {
        static int Byte(double v) => double.IsNaN(v) ? 0 : (int)Math.Round(Math.Clamp(v, 0, 1) * 255);
        return string.Create(CultureInfo.InvariantCulture, $"#{Byte(code.R):x2}{Byte(code.G):x2}{Byte(code.B):x2}");
    }

    private static SyncMessage Sync(MatchedClips clips, SyncFound sync, double? moment)
    {
        (double from, double to) = MatchWork.Overlap(clips);
        return new SyncMessage(
            sync.OffsetSeconds, sync.DriftPpm, sync.Confidence, Plain(MatchWork.InTime(sync, clips.Primary.FrameRate.Value), clips), sync.Method == SyncMethod.Given, from, to, moment, Begins(clips, sync));
    }

    private static ImmutableArray<KindMessage> Kinds(FitResult fit) =>
    [
        .. fit.Candidates.Where(c => c.Correction.Kind != CorrectionKind.Identity).Select(c => new KindMessage(c.Correction.Kind.Name(), s_titles[c.Correction.Kind], c.Train.Mean, c.CrossValidated?.Mean, c.UnseenPlaces?.Mean, "")),
        .. fit.NotFitted.Select(n => new KindMessage(n.Kind.Name(), s_titles[n.Kind], double.NaN, null, null, n.Why)),
    ];

    // The program's sentences may say primary and secondary, which mean something else to people who grade. File names
    // that contain these words stay unchanged.
    private static string Plain(string sentence, MatchedClips clips)
    {
        string plain = ClipShelf.WithoutPath(ClipShelf.WithoutPath(sentence, clips.Primary.Path), clips.Secondary.Path);
        return Roles().Replace(plain, m =>
        {
            bool begins = char.IsUpper(m.Value[0]);
            string camera = m.Groups[1].Value.Equals("primary", StringComparison.OrdinalIgnoreCase) ? "camera A" : "camera B";
            return begins ? $"C{camera[1..]}" : camera;
        });
    }

    [GeneratedRegex(@"(?<![\w.\-/])(?:[Tt]he )?([Pp]rimary|[Ss]econdary)(?![\w\-]|\.\w)", RegexOptions.CultureInvariant)]
    private static partial Regex Roles();

    private static double[]? Place(SamplePlace? place) => place is { } p ? [Short(p.X, 5), Short(p.Y, 5), Short(p.Width, 5), Short(p.Height, 5)] : null;

    private static double Short(double value, int digits = 2) => Math.Round(value, digits);

    private static double[][]? Points(ImmutableArray<PicturePoint>? points) => points is { } given ? [.. given.Select(p => (double[])[p.X, p.Y])] : null;

    private static ImmutableArray<PicturePoint>? Corners(double[][]? points) => points is null ? null
        : points.Length == 4 ? ToPoints(points) : throw new UnusableInputException("A chart has four corners.");

    private static RegionShape Shape(double[][] points) => new(ToPoints(points));

    private static ImmutableArray<PicturePoint> ToPoints(double[][] points) =>
        [.. points.Select(p => p.Length == 2 ? new PicturePoint(p[0], p[1]) : throw new UnusableInputException("A corner has two numbers."))];
}
