using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Samples;

namespace Tonematch.Fitting;

/// <summary>The pairs as the fitters need them, in an order that does not depend on the order they came in.</summary>
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
        SignalEncoding primary = set.PrimaryEncoding, secondary = set.SecondaryEncoding;
        IdentityCorrection identity = new(secondary, primary);
        Matrix3 toPrimaries = primary.XyzToRgb * secondary.RgbToXyz;
        bool samePrimaries = secondary.Primaries == primary.Primaries;
        ImmutableArray<FitPair>.Builder pairs = ImmutableArray.CreateBuilder<FitPair>(set.Pairs.Length);
        for (int i = 0; i < set.Pairs.Length; i++)
        {
            SamplePair p = set.Pairs[i];
            if (!p.Primary.IsFinite || !p.Secondary.IsFinite || !(p.Weight > 0) || !double.IsFinite(p.Weight))
            {
                continue;
            }

            SceneRgb light = secondary.ToScene(p.Secondary);
            if (!samePrimaries)
            {
                (double r, double g, double b) = toPrimaries.Times(light.R, light.G, light.B);
                light = new SceneRgb(r, g, b);
            }

            Lab lab = primary.ToLab(p.Primary.Clamped());
            pairs.Add(new FitPair(i, p.Id, p.Group, p.Secondary, identity.Apply(p.Secondary), light, primary.ToScene(p.Primary), p.Primary, lab)
            {
                Weight = p.Weight * Importance(lab, options) * Confidence(p, set),
                SecondaryClipped = IsClipped(p.Secondary),
                PrimaryClipped = IsClipped(p.Primary),
            });
        }

        pairs.Sort(static (a, b) =>
            string.CompareOrdinal(a.Group, b.Group) is int g && g != 0 ? g : string.CompareOrdinal(a.Id, b.Id));
        ImmutableArray<FitPair> sorted = pairs.ToImmutable();

        // Weights are relative: their mean is 1, so that tolerances and priors mean the same in every set.
        double mean = sorted.Length > 0 ? sorted.Average(p => p.Weight) : 1;
        return new FitSamples(primary, secondary, [.. sorted.Select(p => p with { Weight = p.Weight / mean })]);
    }

    /// <summary>Some of the pairs, in the order given.</summary>
    public FitSamples Subset(IEnumerable<int> indices) =>
        new(PrimaryEncoding, SecondaryEncoding, [.. indices.Select(i => Pairs[i])]);

    /// <summary>The same pairs with other weights.</summary>
    public FitSamples Reweighted(Func<int, double> factor) =>
        new(PrimaryEncoding, SecondaryEncoding, [.. Pairs.Select((p, i) => p with { Weight = p.Weight * factor(i) })]);

    /// <summary>CIEDE2000 of pair <paramref name="i"/> when the secondary is shown as <paramref name="corrected"/>.</summary>
    public double DeltaE(int i, CodeRgb corrected) =>
        DeltaE2000.Between(Pairs[i].PrimaryLab, PrimaryEncoding.ToLab(corrected.Clamped()));

    private static double Importance(Lab lab, FitOptions options) =>
        lab.Chroma < 5 ? options.NeutralWeight : SkinRegion.Contains(lab) ? options.SkinWeight : 1;

    // A pair that scatters by as much as typical misfits (2 Delta E) counts half.
    private static double Confidence(SamplePair pair, SampleSet set)
    {
        const double typicalMisfit = 2;
        double spread = Spread(set.PrimaryEncoding, pair.Primary, pair.PrimarySpread)
            + Spread(set.SecondaryEncoding, pair.Secondary, pair.SecondarySpread);
        double noise = 1 / (1 + (spread / (typicalMisfit * typicalMisfit)));

        // A clipped secondary says only where such colours go on the average; a clipped primary is handled one-sided.
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
}

/// <summary>One pair, prepared.</summary>
/// <param name="Index">Its place in the sample set.</param>
/// <param name="Id">Its name.</param>
/// <param name="Group">What cross-validation keeps together.</param>
/// <param name="Secondary">The secondary's code values in its own encoding.</param>
/// <param name="Code">The secondary's code values in the primary's encoding.</param>
/// <param name="Light">The secondary's light in the primary's RGB primaries.</param>
/// <param name="PrimaryLight">The primary's light.</param>
/// <param name="PrimaryCode">The primary's code values.</param>
/// <param name="PrimaryLab">What the viewer sees of the primary.</param>
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

    public bool SecondaryClipped { get; init; }

    public bool PrimaryClipped { get; init; }
}
