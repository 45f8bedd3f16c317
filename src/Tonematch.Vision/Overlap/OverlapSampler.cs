using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Numerics;
using Tonematch.Pictures;
using Tonematch.Samples;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Finds corresponding colours of one scene seen by two cameras: wide and close, rotated, from another angle, brighter
/// or warmer.
/// </summary>
public static class OverlapSampler
{
    /// <summary>Fewer common points than this do not prove that both pictures show one scene.</summary>
    public const int FewestMatches = 24;

    /// <summary>Fewer pairs than this do not support a correction.</summary>
    public const int FewestPairs = 12;

    // Share of the candidate matches that must agree with one geometry; chance leaves far fewer.
    private const double SmallestAgreeingShare = 0.25;

    // Standard deviation of code values within a patch at which its weight is a third. The mean of a patch is far more
    // accurate than the spread of its pixels; the exact place matters only in strong texture.
    private const double PlainSpread = 0.1;

    // Median disagreement of pairs of similar colour, in CIELAB, above which the light or the objects differ.
    private const double OtherLightDeltaE = 3.5;
    private const double SmallestRankCorrelation = 0.85;
    private const double LargestOutlierShare = 0.35;

    /// <summary>Samples one pair of frames.</summary>
    public static SampleSet Sample(
        Picture primary, Picture secondary, double primarySeconds = 0, double secondarySeconds = 0, CancellationToken cancel = default) =>
        Sample([new OverlapFrame(primary, secondary, primarySeconds, secondarySeconds)], cancel);

    /// <summary>
    /// Samples one or more pairs of frames: common points, then the flat, unclipped patches between them that both see
    /// with the same surrounding structure. Left out and counted by reason: 'edge', 'clipped', 'specular', 'outside',
    /// 'no matches near', 'no structure', 'mismatched', 'other texture' (much more uneven to one camera), 'other
    /// colour' (does not change like objects of similar colour). Weights follow the density in CIELAB. A refusal is in
    /// <see cref="SampleSet.Refusal"/>, doubts in its warnings.
    /// </summary>
    /// <exception cref="ArgumentException">No frames, or one side's frames differ in encoding.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static SampleSet Sample(IReadOnlyList<OverlapFrame> frames, CancellationToken cancel = default) => Sample(frames, withSurfaces: false, cancel);

    /// <summary>
    /// The same; <paramref name="withSurfaces"/>: surfaces without structure are compared too, in cells mapped by the
    /// surrounding common points (<see cref="SceneCells"/>).
    /// </summary>
    /// <exception cref="ArgumentException">No frames, or one side's frames differ in encoding.</exception>
    /// <exception cref="OperationCanceledException">It was cancelled.</exception>
    public static SampleSet Sample(IReadOnlyList<OverlapFrame> frames, bool withSurfaces, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(frames);
        if (frames.Count == 0 || frames.Any(f => f.Primary.Encoding != frames[0].Primary.Encoding || f.Secondary.Encoding != frames[0].Secondary.Encoding))
        {
            throw new ArgumentException("At least one pair of frames is needed, all of one encoding per side.", nameof(frames));
        }

        SignalEncoding pe = frames[0].Primary.Encoding, se = frames[0].Secondary.Encoding;
        SampleSet empty = new(pe, se, SamplingMethod.Overlap, []);
        if (NativeVision.Fault is string fault)
        {
            return empty with { Refusal = fault };
        }

        Found?[] found = Search(frames, withSurfaces, cancel);
        SortedDictionary<string, int> rejected = [];
        List<SamplePair> pairs = [];
        List<double> repeated = [];
        int matches = 0;
        for (int i = 0; i < frames.Count; i++)
        {
            if (found[i] is not Found here)
            {
                continue;
            }

            matches += here.Matches.Count;
            foreach ((string why, int count) in here.Rejected)
            {
                rejected[why] = rejected.GetValueOrDefault(why) + count;
            }

            pairs.AddRange(here.Pairs);
            if (frames.Count > 1)
            {
                repeated.AddRange(Repeated(here.Pairs, frames[i], frames[i + 1 < frames.Count ? i + 1 : i - 1]));
            }
        }

        return Judge(empty, pairs, rejected, matches, repeated);
    }

    private sealed record Found(List<SamplePair> Pairs, SortedDictionary<string, int> Rejected, List<FeatureMatch> Matches);

    // If both cameras stand still, the result of one pair of frames guides the search in another, which is much
    // cheaper, and frames that show nothing new are not searched: their entry stays empty.
    private static Found?[] Search(IReadOnlyList<OverlapFrame> frames, bool withSurfaces, CancellationToken cancel)
    {
        Found?[] found = new Found?[frames.Count];
        found[0] = SearchOne(frames[0], null, withSurfaces, cancel);
        if (frames.Count == 1)
        {
            return found;
        }

        SeenFrames seen = new(frames[0], found[0]!.Pairs);
        int[] others = [.. Enumerable.Range(1, frames.Count - 1)], still = [.. others.Where(i => seen.IsSameView(frames[i]))], moved = [.. others.Except(still)];
        Parallel.ForEach(moved, new ParallelOptions { CancellationToken = cancel, MaxDegreeOfParallelism = Environment.ProcessorCount }, i => found[i] = SearchOne(frames[i], null, withSurfaces, cancel));

        // The last first, because it is furthest in time from the first. One more is always searched, because things
        // move.
        foreach (int i in still.Reverse())
        {
            if (i == still[^1] || seen.TellsMore(frames[i]))
            {
                found[i] = SearchOne(frames[i], found[0]!.Matches, withSurfaces, cancel);
                seen.Add(frames[i], found[i]!.Pairs);
            }
        }

        return found;
    }

    private static Found SearchOne(OverlapFrame frame, List<FeatureMatch>? known, bool withSurfaces, CancellationToken cancel)
    {
        using WorkingPicture p = new(frame.Primary), s = new(frame.Secondary);
        SortedDictionary<string, int> rejected = [];
        if (known is null)
        {
            FeatureMatcher.Result matched = FeatureMatcher.Match(p, s, cancel);
            if (matched.Matches.Count < FewestMatches || matched.Matches.Count < SmallestAgreeingShare * matched.Candidates)
            {
                return new Found([], rejected, []);
            }

            known = matched.Matches;
        }

        List<OverlapPatch> patches = new PatchSearch(p, s, known, rejected).Find(cancel);
        List<SamplePair> pairs = [.. patches.Select((patch, number) => Pair(frame, patch, number))];
        if (withSurfaces)
        {
            pairs.AddRange(Surfaces(frame, p, s, known, pairs));
        }

        return new Found(pairs, rejected, known);
    }

    // Cells without a patch whose surrounding common points agree on the place to a tenth of a cell.
    private static ImmutableArray<SamplePair> Surfaces(OverlapFrame frame, WorkingPicture p, WorkingPicture s, List<FeatureMatch> matches, List<SamplePair> patches)
    {
        const double nearEnough = 0.1;
        double reach = Reach * Math.Max(p.Luma.Width, p.Luma.Height), side = SceneCells.Side * frame.Primary.Width;
        (int, int) CellOf(double x, double y) => ((int)(x / side), (int)(y / side));
        HashSet<(int, int)> known = [.. patches.Select(q => CellOf(q.Origin!.Primary.X * frame.Primary.Width, q.Origin.Primary.Y * frame.Primary.Height))];
        Func<PicturePoint, PicturePoint>? Carry(PicturePoint centre) =>
            LocalMapping.Around(new PicturePoint(centre.X / p.ScaleX, centre.Y / p.ScaleY), matches, reach) is LocalMapping m
                && m.ErrorPixels <= nearEnough * m.Scale * side / p.ScaleX
                ? q => s.ToPicture(m.Map(q.X / p.ScaleX, q.Y / p.ScaleY))
                : null;
        return SceneCells.Sample(
            frame.Primary, frame.Secondary, Carry, c => !known.Contains(CellOf(c.X, c.Y)), frame.PrimarySeconds, frame.SecondarySeconds).Pairs;
    }

    // Matches further from a place than this share of the picture's longer side say nothing about it.
    private const double Reach = 0.08;

    private static SampleSet Judge(SampleSet empty, List<SamplePair> pairs, SortedDictionary<string, int> rejected, int matches, List<double> repeated)
    {
        if (matches == 0)
        {
            return empty with
            {
                Refusal = "The two pictures show no objects in common that could be recognised. Choose an instant at which both cameras see the same things, film a chart, or mark regions.",
            };
        }

        bool[] differs = TextureAgreement.Differs(pairs, empty.SecondaryEncoding);
        int unlike = differs.Count(d => d);
        if (unlike > 0)
        {
            rejected["other texture"] = unlike;
            pairs = [.. pairs.Where((_, i) => !differs[i])];
        }

        PairAgreement agreement = PairAgreement.Of(pairs, empty.PrimaryEncoding, empty.SecondaryEncoding);
        SamplePair[] agreeing = [.. pairs.Where((_, i) => !agreement.IsOutlier[i])];
        int odd = pairs.Count - agreeing.Length;
        if (odd > 0)
        {
            rejected["other colour"] = odd;
        }

        SampleSet set = empty with { Rejected = rejected.ToImmutableSortedDictionary(), NoiseFloorDeltaE = Floor(repeated) };
        if (agreeing.Length < FewestPairs)
        {
            return set with
            {
                Refusal = string.Create(CultureInfo.InvariantCulture, $"The pictures share {matches} points, but only {agreeing.Length} flat, well exposed patches that both see alike. Choose another instant, film a chart, or mark regions."),
            };
        }

        // The best confirmed ones first, because thinning keeps the first ones.
        ImmutableArray<SamplePair> weighed = DensityWeights.Apply([.. agreeing.OrderByDescending(p => p.Weight)], empty.PrimaryEncoding, empty.SecondaryEncoding);
        ImmutableArray<string> doubts = Doubts(agreement, pairs.Count, odd);
        return set with { Pairs = SampleLocality.Named(weighed, empty.PrimaryEncoding, empty.SecondaryEncoding), Warnings = doubts, ShowsOtherLight = !doubts.IsEmpty };
    }

    private static ImmutableArray<string> Doubts(PairAgreement agreement, int count, int odd)
    {
        bool unlike = agreement.MedianDeltaE > OtherLightDeltaE;
        bool disordered = agreement.LightnessRankCorrelation < SmallestRankCorrelation;
        bool many = odd > LargestOutlierShare * count;
        if (!unlike && !disordered && !many)
        {
            return [];
        }

        return [string.Create(CultureInfo.InvariantCulture, $"The two pictures seem to show the same things under different light: things of similar colour change differently between the cameras (by {agreement.MedianDeltaE:0.0} Delta E), {odd} of {count} contradict the others, and the order of lightness agrees to {agreement.LightnessRankCorrelation:0.00} (1 is full agreement). A correction made from them cannot be trusted; use instants under the same light.")];
    }

    // The same place of the same camera in the next frame: equal if camera and object stand still, which is assumed for
    // half of them.
    private static IEnumerable<double> Repeated(List<SamplePair> pairs, OverlapFrame now, OverlapFrame next)
    {
        int every = (pairs.Count / EnoughRepeated) + 1;
        for (int i = 0; i < pairs.Count; i += every)
        {
            SamplePair pair = pairs[i];
            if (Again(now.Primary, next.Primary, pair.Origin!.Primary) is double primary)
            {
                yield return primary;
            }

            if (Again(now.Secondary, next.Secondary, pair.Origin.Secondary) is double secondary)
            {
                yield return secondary;
            }
        }
    }

    // A median of hundreds is accurate enough.
    private const int EnoughRepeated = 200;

    private static double? Again(Picture now, Picture next, SamplePlace place)
    {
        PicturePoint[] box = place.In(now).Corners();
        return PolygonSampler.Measure(now, box) is ColourStatistics a && PolygonSampler.Measure(next, box) is ColourStatistics b
            ? DeltaE2000.Between(now.Encoding.ToLab(a.Mean), next.Encoding.ToLab(b.Mean))
            : null;
    }

    private static double? Floor(List<double> repeated)
    {
        const double moved = 3;
        return repeated.Count >= 20 && Median.Of(repeated) is double median && median < moved ? median : null;
    }

    private static SamplePair Pair(OverlapFrame frame, OverlapPatch patch, int number)
    {
        // Neighbouring patches often belong to one object, and cross-validation must not split them.
        SamplePlace primary = SamplePlace.Of(patch.PrimaryBox, frame.Primary), secondary = SamplePlace.Of(patch.SecondaryBox, frame.Secondary);
        int column = (int)(8 * primary.X), row = (int)(6 * primary.Y);
        return new SamplePair(
            string.Create(CultureInfo.InvariantCulture, $"place-{number + 1:0000}@{frame.PrimarySeconds:0.000}"),
            string.Create(CultureInfo.InvariantCulture, $"area-{column}-{row}"), patch.Primary.Mean, patch.Secondary.Mean)
        {
            Weight = patch.Correlation / (1 + Square(Largest(patch.Primary.Spread) / PlainSpread) + Square(Largest(patch.Secondary.Spread) / PlainSpread)),
            PrimarySpread = patch.Primary.Spread,
            SecondarySpread = patch.Secondary.Spread,
            Origin = new SampleOrigin(frame.PrimarySeconds, frame.SecondarySeconds, primary, secondary),
        };
    }

    private static double Square(double x) => x * x;

    private static double Largest(CodeRgb c) => Math.Max(c.R, Math.Max(c.G, c.B));
}
