using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Samples;

namespace Tonematch.Matching.Outcome;

/// <summary>A fitted correction as the LUT that is delivered, and what the LUT does to the samples.</summary>
/// <param name="Candidate">The fitted correction behind it.</param>
/// <param name="Lut">The table that correction.cube holds; nodes may lie outside 0..1.</param>
/// <param name="BakingError">The difference between the table and the exact correction, both clamped.</param>
/// <param name="Safety">Whether the table bands, folds or explodes.</param>
/// <param name="After">CIEDE2000 of the pairs through the table, with tetrahedral interpolation.</param>
/// <param name="PairDeltaE">The same for each pair, in the order of the samples.</param>
public sealed record BakedCorrection(
    FittedCandidate Candidate,
    Lut3D Lut,
    LutDifference BakingError,
    LutSafetyReport Safety,
    DeltaEStatistics After,
    ImmutableArray<double> PairDeltaE)
{
    /// <summary>
    /// Safety figures beyond their limits that would be visible: steepness, folds, bands. Baking errors do not count:
    /// the table's figures already include them, and one colour at the very edge of the range must not spoil the rest.
    /// Nor does clipping: what leaves the range because the secondary is darker, warmer or less saturated leaves it
    /// with every kind of correction (a CDL merely clamps it itself), and another kind would match worse.
    /// </summary>
    public IEnumerable<LutFinding> Dangers => Safety.Findings.Where(f =>
        !f.IsWithin && f.Property is not (LutProperty.ClippedShare or LutProperty.MeanBakingError or LutProperty.LargestBakingError));

    /// <summary>Bakes a candidate and measures the result.</summary>
    /// <param name="candidate">The fitted correction.</param>
    /// <param name="samples">The pairs it was fitted to.</param>
    /// <param name="size">Nodes per side, 2..129.</param>
    /// <param name="seen">Where the footage has colours; null judges safety for every colour.</param>
    public static BakedCorrection Of(FittedCandidate candidate, SampleSet samples, int size, SampledColours? seen = null)
    {
        ArgumentNullException.ThrowIfNull(candidate);
        ArgumentNullException.ThrowIfNull(samples);
        // Nodes outside 0..1 are kept: players clamp after interpolating, so the table stays exact up to the very edge
        // of the range. Clamped nodes would bend every cell that the edge runs through.
        Lut3D lut = LutBaker.Bake(candidate.Correction, size);
        LutDifference bakingError = BakingErrorOf(lut, candidate.Correction.Apply, candidate.Correction.PrimaryEncoding);
        (DeltaEStatistics after, ImmutableArray<double> deltaE) = Differences(samples, code => LutInterpolation.Tetrahedral(lut, code));
        return new BakedCorrection(candidate, lut, bakingError, LutSafety.Inspect(lut, bakingError, seen is null ? null : seen.Has, candidate.Correction.SecondaryEncoding), after, deltaE);
    }

    /// <summary>A table's difference from what it stands for, both clamped to 0..1, over all codes.</summary>
    /// <param name="lut">The table.</param>
    /// <param name="exact">What it stands for.</param>
    /// <param name="encoding">The encoding of the results.</param>
    internal static LutDifference BakingErrorOf(Lut3D lut, Func<CodeRgb, CodeRgb> exact, SignalEncoding encoding) =>
        LutComparison.Compare(code => exact(code).Clamped(), code => LutInterpolation.Tetrahedral(lut, code).Clamped(), encoding, lut.Size);

    /// <summary>The same table with its safety judged where the footage has colours.</summary>
    internal BakedCorrection JudgedWhere(SampledColours seen) => this with { Safety = LutSafety.Inspect(Lut, BakingError, seen.Has, Candidate.Correction.SecondaryEncoding) };

    /// <summary>
    /// CIEDE2000 of the pairs through a correction, both sides clamped to 0..1: weighted statistics, and one value per
    /// pair.
    /// </summary>
    internal static (DeltaEStatistics Of, ImmutableArray<double> Pairs) Differences(SampleSet samples, Func<CodeRgb, CodeRgb> correct)
    {
        SignalEncoding encoding = samples.PrimaryEncoding;
        ImmutableArray<double> deltaE =
        [
            .. samples.Pairs.Select(p => DeltaE2000.Between(encoding.ToLab(p.Primary.Clamped()), encoding.ToLab(correct(p.Secondary).Clamped()))),
        ];
        return (DeltaEStatistics.Of(deltaE.AsSpan(), [.. samples.Pairs.Select(p => p.Weight)]), deltaE);
    }

    /// <summary>
    /// The colour of one pair's secondary through the table, clamped to 0..1, in the primary's encoding.
    /// </summary>
    public CodeRgb Corrected(SamplePair pair)
    {
        ArgumentNullException.ThrowIfNull(pair);
        return LutInterpolation.Tetrahedral(Lut, pair.Secondary).Clamped();
    }
}
