using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>The pairs as the fitters need them, in an order independent of the input order.</summary>
internal sealed class FitSamples
{
    private FitSamples(SignalEncoding primaryEncoding, SignalEncoding secondaryEncoding, ImmutableArray<FitPair> pairs)
    {
        PrimaryEncoding = primaryEncoding;
        SecondaryEncoding = secondaryEncoding;
        Pairs = pairs;
    }

    public SignalEncoding PrimaryEncoding { get; }

    public SignalEncoding SecondaryEncoding { get; }

    public ImmutableArray<FitPair> Pairs { get; }

    public int Count => Pairs.Length;

    /// <summary>The usable pairs of a set: finite, with weight; clipped ones kept with little weight.</summary>
    public static FitSamples From(SampleSet set, FitOptions options)
    {
        Preparation prepare = new(set.PrimaryEncoding, set.SecondaryEncoding);
        ImmutableArray<FitPair>.Builder pairs = ImmutableArray.CreateBuilder<FitPair>(set.Pairs.Length);
        for (int i = 0; i < set.Pairs.Length; i++)
        {
            SamplePair p = set.Pairs[i];
            if (!p.Primary.IsFinite || !p.Secondary.IsFinite || !(p.Weight > 0) || !double.IsFinite(p.Weight))
            {
                continue;
            }

            FitPair pair = prepare.Pair(i, p.Id, p.Group, p.Primary, p.Secondary);
            pairs.Add(pair with
            {
                Weight = p.Weight * Importance(pair.PrimaryLab, options) * Confidence(p, set),
                SecondaryClipped = IsClipped(p.Secondary),
                PrimaryClipped = IsClipped(p.Primary),
                Place = p.Origin?.Primary,
                Locality = p.Locality,
            });
        }

        pairs.Sort(static (a, b) =>
            string.CompareOrdinal(a.Group, b.Group) is int g && g != 0 ? g : string.CompareOrdinal(a.Id, b.Id));
        return new FitSamples(set.PrimaryEncoding, set.SecondaryEncoding, pairs.ToImmutable()).Normalised();
    }

    /// <summary>Some of the pairs, in the order given.</summary>
    public FitSamples Subset(IEnumerable<int> indices) =>
        new(PrimaryEncoding, SecondaryEncoding, [.. indices.Select(i => Pairs[i])]);

    /// <summary>Other pairs with the same encodings.</summary>
    public FitSamples With(ImmutableArray<FitPair> pairs) => new(PrimaryEncoding, SecondaryEncoding, pairs);

    /// <summary>
    /// At most <paramref name="most"/> pairs with the same information: pairs similar on both sides are averaged and
    /// their weights added. Mismatched pairs are similar to no others and stay unchanged; pairs of different localities
    /// are not averaged.
    /// </summary>
    /// <remarks>
    /// The leader algorithm (J. A. Hartigan, Clustering Algorithms, 1975, ch. 3) with a radius that grows until there
    /// are few enough.
    /// </remarks>
    public FitSamples Condensed(int most)
    {
        if (Count <= most)
        {
            return this;
        }

        Preparation prepare = new(PrimaryEncoding, SecondaryEncoding);
        for (double radius = 0.02; ; radius *= 1.3)
        {
            if (Cluster.Gather(Pairs, radius, most) is { } clusters)
            {
                return With([.. clusters.Select(h => h.Mean(prepare))]);
            }
        }
    }

    /// <summary>
    /// The effective number of pairs: hundreds of scene pairs with tiny weights do not make a chart's two dozen patches
    /// count as more than two dozen.
    /// </summary>
    public double Told => IsChartInScene ? Pairs.Sum(p => p.Weight) : Count;

    private bool IsChartInScene => Pairs.Any(p => SampleLocality.IsChart(p.Locality)) && Pairs.Any(p => !SampleLocality.IsChart(p.Locality));

    /// <summary>
    /// Weights are relative: with a mean of 1, tolerances and priors mean the same in every set. If a chart's patches
    /// weigh more than the surrounding scene, the mean is taken over the patches.
    /// </summary>
    public FitSamples Normalised()
    {
        double mean = Count > 0 ? Pairs.Average(p => p.Weight) : 1;
        if (IsChartInScene)
        {
            mean = Math.Max(mean, Pairs.Where(p => SampleLocality.IsChart(p.Locality)).Average(p => p.Weight));
        }

        return With([.. Pairs.Select(p => p with { Weight = p.Weight / mean })]);
    }

    /// <summary>CIEDE2000 of pair <paramref name="i"/> when the secondary is shown as <paramref name="corrected"/>.</summary>
    public double DeltaE(int i, CodeRgb corrected) =>
        DeltaE2000.Between(Pairs[i].PrimaryLab, PrimaryEncoding.ToLab(corrected.Clamped()));

    /// <summary>A pair as if the secondary had recorded another colour.</summary>
    public FitPair Moved(FitPair pair, CodeRgb secondary) => new Preparation(PrimaryEncoding, SecondaryEncoding).Moved(pair, secondary);

    /// <summary>A pair as if the secondary had received light multiplied by a factor.</summary>
    public FitPair Lit(FitPair pair, double factor) => Lit(pair, new SceneRgb(factor, factor, factor), 0);

    /// <summary>
    /// A pair as if the secondary had received light multiplied by a factor per channel, plus a constant.
    /// </summary>
    public FitPair Lit(FitPair pair, SceneRgb factor, double added)
    {
        SceneRgb light = SecondaryEncoding.ToScene(pair.Secondary);
        return Moved(pair, SecondaryEncoding.FromScene(
            new SceneRgb((factor.R * light.R) + added, (factor.G * light.G) + added, (factor.B * light.B) + added)));
    }

    private static double Importance(Lab lab, FitOptions options) =>
        lab.Chroma < 5 ? options.NeutralWeight : SkinTones.Contains(lab) ? options.SkinWeight : 1;

    // A pair that scatters by as much as typical misfits (2 Delta E) counts half.
    private static double Confidence(SamplePair pair, SampleSet set)
    {
        const double typicalMisfit = 2;
        double spread = Spread(set.PrimaryEncoding, pair.Primary, pair.PrimarySpread)
            + Spread(set.SecondaryEncoding, pair.Secondary, pair.SecondarySpread);
        double noise = 1 / (1 + (spread / (typicalMisfit * typicalMisfit)));

        // A clipped secondary only shows where such colours go on average; a clipped primary has a one-sided residual.
        return IsClipped(pair.Secondary) ? 0.3 * noise : noise;
    }

    // Squared Delta E of one standard deviation in each channel.
    private static double Spread(SignalEncoding encoding, CodeRgb at, CodeRgb spread)
    {
        if (!spread.IsFinite || (spread.R == 0 && spread.G == 0 && spread.B == 0))
        {
            return 0;
        }

        Lab centre = encoding.ToLab(at);
        double r = DeltaE2000.Between(centre, encoding.ToLab(at with { R = at.R + spread.R }));
        double g = DeltaE2000.Between(centre, encoding.ToLab(at with { G = at.G + spread.G }));
        double b = DeltaE2000.Between(centre, encoding.ToLab(at with { B = at.B + spread.B }));
        return (r * r) + (g * g) + (b * b);
    }

    private static bool IsClipped(CodeRgb code) =>
        Math.Max(code.R, Math.Max(code.G, code.B)) >= FitPair.ClipHigh
        || Math.Min(code.R, Math.Min(code.G, code.B)) <= FitPair.ClipLow;

    // Decodes the colours of a pair.
    private sealed class Preparation(SignalEncoding primary, SignalEncoding secondary)
    {
        private readonly IdentityCorrection _identity = new(secondary, primary);
        private readonly Matrix3? _toPrimaries = secondary.Primaries == primary.Primaries ? null : primary.XyzToRgb * secondary.RgbToXyz;

        public FitPair Pair(int index, string id, string group, CodeRgb primaryCode, CodeRgb secondaryCode) => new(
            index,
            id,
            group,
            secondaryCode,
            _identity.Apply(secondaryCode),
            Light(secondaryCode),
            primary.ToScene(primaryCode),
            primaryCode,
            primary.ToLab(primaryCode.Clamped()));

        public FitPair Moved(FitPair pair, CodeRgb secondaryCode) =>
            pair with { Secondary = secondaryCode, Code = _identity.Apply(secondaryCode), Light = Light(secondaryCode) };

        private SceneRgb Light(CodeRgb code)
        {
            SceneRgb light = secondary.ToScene(code);
            if (_toPrimaries is not { } m)
            {
                return light;
            }

            (double r, double g, double b) = m.Times(light.R, light.G, light.B);
            return new SceneRgb(r, g, b);
        }
    }

    // A cluster of similar pairs.
    private sealed class Cluster(FitPair leader)
    {
        private readonly List<FitPair> _members = [leader];

        // Null if there are more clusters than allowed. A pair goes to the first cluster that accepts it; clusters are
        // found by the grid cell of their leader's secondary colour, since a cluster that accepts a pair lies within a
        // radius of it.
        public static List<Cluster>? Gather(ImmutableArray<FitPair> pairs, double radius, int most)
        {
            List<Cluster> clusters = [];
            Dictionary<(int R, int G, int B), List<int>> cells = [];
            foreach (FitPair pair in pairs)
            {
                (int r, int g, int b) = ((int)Math.Floor(pair.Secondary.R / radius), (int)Math.Floor(pair.Secondary.G / radius), (int)Math.Floor(pair.Secondary.B / radius));
                int first = int.MaxValue;
                for (int near = 0; near < 27; near++)
                {
                    if (cells.TryGetValue((r + (near % 3) - 1, g + (near / 3 % 3) - 1, b + (near / 9) - 1), out List<int>? here)
                        && here.FindIndex(h => h < first && clusters[h].Takes(pair, radius)) is >= 0 and int found)
                    {
                        first = here[found];
                    }
                }

                if (first < int.MaxValue)
                {
                    clusters[first]._members.Add(pair);
                    continue;
                }

                if (clusters.Count == most)
                {
                    return null;
                }

                if (!cells.TryGetValue((r, g, b), out List<int>? cell))
                {
                    cells.Add((r, g, b), cell = []);
                }

                cell.Add(clusters.Count);
                clusters.Add(new Cluster(pair));
            }

            return clusters;
        }

        public FitPair Mean(Preparation prepare)
        {
            double weight = _members.Sum(m => m.Weight);
            CodeRgb Of(Func<FitPair, CodeRgb> side) => new(
                _members.Sum(m => m.Weight * side(m).R) / weight,
                _members.Sum(m => m.Weight * side(m).G) / weight,
                _members.Sum(m => m.Weight * side(m).B) / weight);
            return prepare.Pair(leader.Index, leader.Id, leader.Group, Of(m => m.PrimaryCode), Of(m => m.Secondary)) with
            {
                Weight = weight,
                Members = _members.Sum(m => m.Members),
                SecondaryClipped = leader.SecondaryClipped,
                PrimaryClipped = leader.PrimaryClipped,
                Place = leader.Place,
                Locality = leader.Locality,
            };
        }

        private bool Takes(FitPair pair, double radius) =>
            pair.SecondaryClipped == leader.SecondaryClipped && pair.PrimaryClipped == leader.PrimaryClipped
            && pair.Locality == leader.Locality
            && Square(pair.Secondary, leader.Secondary) + Square(pair.PrimaryCode, leader.PrimaryCode) <= radius * radius;

        private static double Square(CodeRgb a, CodeRgb b) =>
            ((a.R - b.R) * (a.R - b.R)) + ((a.G - b.G) * (a.G - b.G)) + ((a.B - b.B) * (a.B - b.B));
    }
}

/// <summary>One pair, prepared.</summary>
/// <param name="Index">Its index in the sample set.</param>
/// <param name="Id">Its name.</param>
/// <param name="Group">What cross-validation keeps together.</param>
/// <param name="Secondary">The secondary's code values in its own encoding.</param>
/// <param name="Code">The secondary's code values in the primary's encoding.</param>
/// <param name="Light">The secondary's light in the primary's RGB primaries.</param>
/// <param name="PrimaryLight">The primary's light.</param>
/// <param name="PrimaryCode">The primary's code values.</param>
/// <param name="PrimaryLab">The primary's displayed colour.</param>
internal sealed record FitPair(
    int Index,
    string Id,
    string Group,
    CodeRgb Secondary,
    CodeRgb Code,
    SceneRgb Light,
    SceneRgb PrimaryLight,
    CodeRgb PrimaryCode,
    Lab PrimaryLab)
{
    public const double ClipHigh = 0.998;
    public const double ClipLow = 0.002;

    public double Weight { get; init; } = 1;

    /// <summary>The number of pairs it is the mean of.</summary>
    public int Members { get; init; } = 1;

    public bool SecondaryClipped { get; init; }

    public bool PrimaryClipped { get; init; }

    /// <summary>Its place in the primary's picture; null if unknown.</summary>
    public SamplePlace? Place { get; init; }

    /// <summary>The object, part of the picture and time it comes from; empty if unknown.</summary>
    public string Locality { get; init; } = "";
}
