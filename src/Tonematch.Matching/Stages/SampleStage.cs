using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Pictures;
using Tonematch.Samples;
using Tonematch.Samples.Charts;
using Tonematch.Vision;
using Tonematch.Vision.Charts;
using Tonematch.Vision.Overlap;

namespace Tonematch.Matching.Stages;

/// <summary>Finds corresponding colours in pairs of frames by the method asked for, or the surest that works.</summary>
public static class SampleStage
{
    /// <summary>
    /// Chart if both show one, else the same objects seen by both, else the regions given, else the pictures as a
    /// whole. Regions given without a method are an explicit wish and are used.
    /// </summary>
    /// <param name="frames">The pairs of frames.</param>
    /// <param name="request">What was asked for.</param>
    /// <param name="chartNotSeen">A chart was looked for already, in smaller pictures of more instants, and not seen.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">The method asked for, or every method, gives nothing to trust.</exception>
    public static SampleSet Run(IReadOnlyList<MatchedFrames> frames, MatchRequest request, bool chartNotSeen, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(frames);
        ArgumentNullException.ThrowIfNull(request);
        SamplingMethod? method = request.Method ?? (request.Regions.Length > 0 ? SamplingMethod.Regions : null);
        if (method is { } asked)
        {
            SampleSet set = By(asked, frames, request, cancel);
            return set.Refusal is { } why ? throw new NoTrustworthyResultException(why) : set;
        }

        List<string> passedOver = [];
        foreach (SamplingMethod tried in (ReadOnlySpan<SamplingMethod>)[SamplingMethod.Chart, SamplingMethod.Overlap, SamplingMethod.Overall])
        {
            SampleSet set = tried == SamplingMethod.Chart && chartNotSeen ? SmallChart(frames, request, cancel) : By(tried, frames, request, cancel);
            if (set.Refusal is null)
            {
                return set with { Warnings = [.. set.Warnings, .. tried == SamplingMethod.Overall ? passedOver : []] };
            }

            passedOver.Add(set.Refusal);
        }

        throw new NoTrustworthyResultException(passedOver[^1]);
    }

    /// <summary>The samples one method gives; a refusal is in the set.</summary>
    public static SampleSet By(SamplingMethod method, IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel) => method switch
    {
        SamplingMethod.Chart => ByChart(frames, request, cancel),
        SamplingMethod.Overlap => ByOverlap(frames, cancel),
        SamplingMethod.Regions => ByRegions(frames, request),
        SamplingMethod.Overall => ByOverall(frames),
        _ => throw new ArgumentOutOfRangeException(nameof(method), method, "Pairs from a file need no frames."),
    };

    // What a smaller picture hides is a chart of less than some 160 pixels, and that lies about: two instants show it.
    private static SampleSet SmallChart(IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel)
    {
        SampleSet set = By(SamplingMethod.Chart, [.. frames.Where((_, i) => i == 0 || i == frames.Count - 1)], request, cancel);
        return set.Refusal is null && frames.Count > 2 ? By(SamplingMethod.Chart, frames, request, cancel) : set;
    }

    private static SampleSet ByChart(IReadOnlyList<MatchedFrames> frames, MatchRequest request, CancellationToken cancel)
    {
        List<ChartPairing> pairings = [];
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
                pairings.Add(new ChartPairing(p, s, f.Primary.Seconds, f.Secondary.Seconds));
            }
            else
            {
                onlySecondary.Add((s, f.Secondary.Seconds));
            }
        }

        if (pairings.Count > 0)
        {
            return ChartPair.Sample(pairings, request.Chart);
        }

        if (request.Method == SamplingMethod.Chart && onlySecondary.Count > 0)
        {
            // A chart in one clip still helps when the user asks for it: camera against reference.
            (ChartMeasurement chart, double seconds) = onlySecondary[0];
            return ChartPair.AgainstReference(chart, request.Chart, frames[0].Primary.Picture.Encoding, seconds);
        }

        return Nothing(frames, SamplingMethod.Chart, $"No {request.Chart.Title} was found in both pictures at the same time. {why}".TrimEnd());
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
            $"What lies between the four corners given for {whose} is not the {reference.Title}: its patches are not there. Give the outer corners of the chart itself, in whole-picture pixels of the moment that is compared (--at), and say with --chart if it is another one.");

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

    private static SampleSet ByOverlap(IReadOnlyList<MatchedFrames> frames, CancellationToken cancel)
    {
        return NativeVision.Fault is { } fault
            ? Nothing(frames, SamplingMethod.Overlap, fault)
            : OverlapSampler.Sample([.. frames.Select(f => new OverlapFrame(f.Primary.Picture, f.Secondary.Picture, f.Primary.Seconds, f.Secondary.Seconds))], cancel);
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

        // All pairs describe one thing, the distribution: leaving one out would say nothing of unseen colours.
        return set with { Pairs = [.. set.Pairs.Select(p => p with { Group = "overall" })] };
    }

    private static SampleSet Nothing(IReadOnlyList<MatchedFrames> frames, SamplingMethod method, string why) =>
        new(frames[0].Primary.Picture.Encoding, frames[0].Secondary.Picture.Encoding, method, []) { Refusal = why };
}
