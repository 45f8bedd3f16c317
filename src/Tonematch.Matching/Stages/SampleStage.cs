using System.Globalization;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Words;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Tonematch.Vision;
using Tonematch.Vision.Charts;
using Tonematch.Vision.Overlap;

namespace Tonematch.Matching.Stages;

/// <summary>
/// Finds corresponding colours in pairs of frames by the requested method, or by the most reliable one that works.
/// </summary>
public static class SampleStage
{
    /// <summary>
    /// The chart if both show one, else the same objects seen by both, else the regions given, else the pictures as a
    /// whole. Regions given without a method are an explicit wish and are used.
    /// </summary>
    /// <param name="frames">The pairs of frames.</param>
    /// <param name="request">The user's request.</param>
    /// <param name="chartNotSeen">Whether a chart was already searched for, in smaller pictures at more instants, and not found.</param>
    /// <param name="apart">A chart that the clips show at different instants, or that only one of them shows; null for none.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">The requested method, or every method, gives no trustworthy result.</exception>
    public static SampleSet Run(
        IReadOnlyList<MatchedFrames> frames, MatchRequest request, bool chartNotSeen, ChartApart? apart, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(frames);
        ArgumentNullException.ThrowIfNull(request);
        SamplingMethod? method = request.Method ?? (request.Regions.Length > 0 ? SamplingMethod.Regions : null);
        if (method is { } asked)
        {
            SampleSet set = asked == SamplingMethod.Chart ? ChartAndScene(frames, request, cancel) : By(asked, frames, request, cancel);
            set = asked == SamplingMethod.Chart && set.Refusal is not null && ByChartApart(frames, request, apart, cancel) is { Set: { } shown } ? shown : set;
            return set.Refusal is { } why ? throw new NoTrustworthyResultException(why) : set;
        }

        List<string> passedOver = [];
        string[] notes = [];
        foreach (SamplingMethod tried in (ReadOnlySpan<SamplingMethod>)[SamplingMethod.Chart, SamplingMethod.Overlap, SamplingMethod.Overall])
        {
            SampleSet set = tried != SamplingMethod.Chart ? By(tried, frames, request, cancel)
                : chartNotSeen ? SmallChart(frames, request, cancel)
                : ChartAndScene(frames, request, cancel);
            if (tried == SamplingMethod.Chart && set.Refusal is not null)
            {
                (SampleSet? shown, string? said) = ByChartApart(frames, request, apart, cancel);
                set = shown ?? set;
                notes = said is null ? notes : [said];
            }

            if (set.Refusal is null)
            {
                return set with { Warnings = [.. notes, .. set.Warnings, .. tried == SamplingMethod.Overall ? passedOver : []] };
            }

            passedOver.Add(set.Refusal);
        }

        throw new NoTrustworthyResultException(passedOver[^1]);
    }

    /// <summary>The samples of one method; the set also carries a refusal.</summary>
    public static SampleSet By(SamplingMethod method, IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel) => method switch
    {
        SamplingMethod.Chart => ByChart(frames, request, cancel).Set,
        SamplingMethod.Overlap => ByOverlap(frames, cancel),
        SamplingMethod.Regions => ByRegions(frames, request),
        SamplingMethod.Overall => ByOverall(frames),
        _ => throw new ArgumentOutOfRangeException(nameof(method), method, "Pairs from a file need no frames."),
    };

    // A smaller picture hides only charts below about 160 pixels, and those lie around in the scene: two instants are
    // enough to find them.
    private static SampleSet SmallChart(IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel)
    {
        SampleSet set = By(SamplingMethod.Chart, [.. frames.Where((_, i) => i == 0 || i == frames.Count - 1)], request, cancel);
        return set.Refusal is null ? ChartAndScene(frames, request, cancel) : set;
    }

    // A chart shows how colours differ between the cameras on its own board. Its surroundings show it for the whole
    // picture.
    private static SampleSet ChartAndScene(IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel)
    {
        (SampleSet set, List<(MatchedFrames Frames, ChartPairing Chart)> shown) = ByChart(frames, request, cancel);
        if (set.Refusal is not null || shown.Count == 0)
        {
            return set;
        }

        SampleSet plane = ChartSurroundings.Sample([.. shown.Select(s => (s.Frames.Primary.Picture, s.Frames.Secondary.Picture, s.Chart))]);
        SampleSet things = ByOverlap([.. shown.Select(s => s.Frames).Where((_, i) => i == 0 || i == shown.Count - 1)], cancel, withSurfaces: true);

        // If the recognised objects are in doubt, the chart and its own plane are more reliable.
        (Picture Picture, Func<PicturePoint, bool> IsOnChart)[] charts = [.. shown.Select(s => (s.Frames.Primary.Picture, ChartSurroundings.OnChart(s.Chart.Primary.Geometry)))];
        bool IsBeside(SamplePair pair) => pair.Origin is not { Primary: var at }
            || !charts.Any(c => c.IsOnChart(new PicturePoint(at.X * c.Picture.Width, at.Y * c.Picture.Height)));
        SamplePair[] beside = things.Refusal is null && !things.ShowsOtherLight ? [.. things.Pairs.Where(IsBeside)] : [];

        // A cell near the chart may be found both ways; it counts once.
        return ChartInScene.Joined(set, [.. plane.Pairs.Concat(beside.Select(p => p with { Locality = "" })).DistinctBy(p => p.Id)], cancel);
    }

    // A chart shown to one camera after the other, under the same light, still gives pairs; what both saw at one time
    // then tells about the light there.
    private static (SampleSet? Set, string? Said) ByChartApart(
        IReadOnlyList<MatchedFrames> frames, MatchRequest request, ChartApart? apart, CancellationToken cancel)
    {
        string why = "";
        ChartMeasurement? p = apart?.InPrimary is { } a ? Chart(a.Primary.Picture, null, request.Chart, "camera A", ref why, cancel) : null;
        ChartMeasurement? s = apart?.InSecondary is { } b ? Chart(b.Secondary.Picture, null, request.Chart, "camera B", ref why, cancel) : null;
        if (p is null || s is null)
        {
            return (null, p is not null ? ChartWords.OnlyOne("A", apart!.InPrimary!.Primary.Seconds, p, request.Chart)
                : s is not null ? ChartWords.OnlyOne("B", apart!.InSecondary!.Secondary.Seconds, s, request.Chart) : null);
        }

        (MatchedFrames inA, MatchedFrames inB) = (apart!.InPrimary!, apart.InSecondary!);
        string when = string.Create(CultureInfo.InvariantCulture, $"Camera A shows the chart at {inA.Primary.Seconds:0.0} s of its clip, camera B at {inB.Secondary.Seconds:0.0} s of its own, which is not the same moment.");
        double change = Math.Max(LightAgreement.Between(inA.Primary.Picture, inB.Primary.Picture), LightAgreement.Between(inA.Secondary.Picture, inB.Secondary.Picture));
        if (change > LightAgreement.LargestDeltaE)
        {
            return (null, $"{when} In between, the light, the exposure or a camera's view changed, so it was not used; show it to both cameras at once.");
        }

        SampleSet chart = ChartPair.Sample([new ChartPairing(p, s, inA.Primary.Seconds, inB.Secondary.Seconds)], request.Chart);
        if (chart.Refusal is { } refusal)
        {
            return (null, $"{when} It could not be used: {refusal}");
        }

        SampleSet things = ByOverlap(frames, cancel, withSurfaces: true);
        SampleSet set = things.Refusal is null ? ChartInScene.Joined(chart, [.. things.Pairs.Select(pair => pair with { Locality = "" })], cancel) : chart;
        return (set with
        {
            ShowsOtherLight = things.ShowsOtherLight,
            Warnings =
            [
                $"{when} Neither picture changes in between, so the light is taken to be the same and the chart is used.",
                .. set.Warnings,
                .. things.Refusal is null ? things.Warnings : [],
            ],
        }, null);
    }

    private static (SampleSet Set, List<(MatchedFrames Frames, ChartPairing Chart)> Shown) ByChart(
        IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel)
    {
        List<(MatchedFrames Frames, ChartPairing Chart)> shown = [];
        List<(ChartMeasurement Chart, double Seconds)> onlySecondary = [];
        string why = "";
        foreach (MatchedFrames f in frames)
        {
            cancel.ThrowIfCancellationRequested();
            ChartMeasurement? s = Chart(f.Secondary.Picture, request.Secondary.ChartCorners, request.Chart, "camera B", ref why, cancel);
            if (s is null)
            {
                continue;
            }

            if (Chart(f.Primary.Picture, request.Primary.ChartCorners, request.Chart, "camera A", ref why, cancel) is { } p)
            {
                shown.Add((f, new ChartPairing(p, s, f.Primary.Seconds, f.Secondary.Seconds)));
            }
            else
            {
                onlySecondary.Add((s, f.Secondary.Seconds));
            }
        }

        if (shown.Count > 0)
        {
            return (ChartPair.Sample([.. shown.Select(s => s.Chart)], request.Chart), shown);
        }

        if (request.Method == SamplingMethod.Chart && onlySecondary.Count > 0)
        {
            // A chart in only one clip still helps if the user asks for it: camera against reference.
            (ChartMeasurement chart, double seconds) = onlySecondary[0];
            return (ChartPair.AgainstReference(chart, request.Chart, frames[0].Primary.Picture.Encoding, seconds), shown);
        }

        return (Nothing(frames, SamplingMethod.Chart, $"No {request.Chart.Title} was found in both pictures at the same time. {why}".TrimEnd()), shown);
    }

    private static ChartMeasurement? Chart(
        Picture picture, RegionShape? corners, ChartReference reference, string whose, ref string why, CancellationToken cancel)
    {
        if (corners is { } given)
        {
            ChartMeasurement marked = ChartRecognition.MeasureTurned(picture, given.In(picture.Width, picture.Height), reference)
                ?? throw NoChartBetween();
            return ChartRecognition.Compare(marked, reference) is { IsThisKind: true } match
                ? ChartRecognition.WithoutHidden(marked, match)
                : throw NoChartBetween();
        }

        NoTrustworthyResultException NoChartBetween() => new(
            $"The four corners given for {whose} do not enclose the {reference.Title}: its patches are not there. Give the outer corners of the chart itself, in pixels of the whole picture at the moment compared (--at), and use --chart if it is another one.");

        if (NativeVision.Fault is { } fault)
        {
            why = fault;
            return null;
        }

        ChartSearch search = ChartFinder.Find(picture, reference, cancel);
        if (search is ChartNotFound not)
        {
            why = not.Why;
        }

        return (search as ChartFound)?.Chart;
    }

    private static SampleSet ByOverlap(IReadOnlyList<MatchedFrames> frames, CancellationToken cancel, bool withSurfaces = false)
    {
        return NativeVision.Fault is { } fault
            ? Nothing(frames, SamplingMethod.Overlap, fault)
            : OverlapSampler.Sample([.. frames.Select(f => new OverlapFrame(f.Primary.Picture, f.Secondary.Picture, f.Primary.Seconds, f.Secondary.Seconds))], withSurfaces, cancel);
    }

    private static SampleSet ByRegions(IReadOnlyList<MatchedFrames> frames, MatchRequest request)
    {
        if (request.Regions.Length == 0)
        {
            return Nothing(frames, SamplingMethod.Regions, "No regions were given: mark some with --region or --regions.");
        }

        SampleSet[] sets = [.. frames.Select(f => RegionSampler.Sample(
            f.Primary.Picture, f.Secondary.Picture, request.Regions, f.Primary.Seconds, f.Secondary.Seconds))];
        return SampleSets.Join(sets);
    }

    private static SampleSet ByOverall(IReadOnlyList<MatchedFrames> frames)
    {
        SampleSet set = OverallSampler.Sample([.. frames.Select(f => f.Primary.Picture)], [.. frames.Select(f => f.Secondary.Picture)]);

        // All pairs describe one thing, the distribution: leaving one out would say nothing about unseen colours.
        return set with { Pairs = [.. set.Pairs.Select(p => p with { Group = "overall" })] };
    }

    private static SampleSet Nothing(IReadOnlyList<MatchedFrames> frames, SamplingMethod method, string why) =>
        new(frames[0].Primary.Picture.Encoding, frames[0].Secondary.Picture.Encoding, method, []) { Refusal = why };
}
