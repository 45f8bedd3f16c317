using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages;

/// <summary>Fits, bakes, and chooses the correction that is delivered.</summary>
public static class FitStage
{
    /// <summary>The fits of all kinds, the chosen one, and remarks on the choice.</summary>
    /// <param name="Fit">Every kind that was tried.</param>
    /// <param name="Chosen">The one that is delivered, baked.</param>
    /// <param name="Warnings">Why it is not the one that the figures alone advise, in sentences.</param>
    public sealed record Result(FitResult Fit, BakedCorrection Chosen, ImmutableArray<string> Warnings)
    {
        /// <summary>The trim and its cost, in a sentence; null without a trim.</summary>
        public string? TrimNote { get; init; }

        /// <summary>
        /// The CDL nearest to the trimmed correction; null without a trim, between two encodings, or if none can be
        /// fitted.
        /// </summary>
        public FittedCandidate? TrimmedCdl { get; init; }
    }

    /// <summary>
    /// Fits the requested kind, or fits all kinds and takes the advised one whose table is safe to use.
    /// </summary>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="model">The requested kind, or null for the advised one.</param>
    /// <param name="lutSize">Nodes per side, 2..129.</param>
    /// <param name="trim">Changes made by hand after the fit.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <param name="progress">Receives the share done, 0..1.</param>
    /// <exception cref="NoTrustworthyResultException">The samples do not support the fit.</exception>
    public static Result Run(SampleSet samples, CorrectionKind? model, int lutSize, Trim trim, CancellationToken cancel, IProgress<double>? progress = null)
    {
        ArgumentNullException.ThrowIfNull(samples);
        return Choose(CorrectionFitting.Fit(samples, FitOptions.Default, cancel, progress), samples, model, lutSize, trim, cancel);
    }

    /// <summary>Chooses a correction among those already fitted.</summary>
    /// <param name="fit">The fit of all kinds.</param>
    /// <param name="samples">The samples they were fitted to.</param>
    /// <param name="model">The requested kind, or null for the advised one.</param>
    /// <param name="lutSize">Nodes per side, 2..129.</param>
    /// <param name="trim">Changes made by hand after the fit.</param>
    /// <param name="cancel">Stops the work.</param>
    /// <exception cref="NoTrustworthyResultException">The requested kind was not fitted.</exception>
    public static Result Choose(FitResult fit, SampleSet samples, CorrectionKind? model, int lutSize, Trim trim, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(fit);
        ArgumentNullException.ThrowIfNull(samples);
        ArgumentNullException.ThrowIfNull(trim);
        Result untrimmed = model is { } kind ? AskedFor(fit, samples, kind, lutSize) : Advised(fit, samples, lutSize);
        return trim.IsNone ? untrimmed : Trimmed(untrimmed, samples, trim, lutSize, cancel);
    }

    // The trim is part of the correction, and named: the figures are those of both together. Only the match alone was
    // cross-validated, so there is no cross-validated figure for both.
    private static Result Trimmed(Result untrimmed, SampleSet samples, Trim trim, int lutSize, CancellationToken cancel)
    {
        FittedCandidate match = untrimmed.Chosen.Candidate;
        BakedCorrection baked = BakedCorrection.Of(
            match with { Correction = new TrimmedCorrection(match.Correction, trim), CrossValidated = null, CrossValidatedStandardError = null, UnseenPlaces = null }, samples, lutSize);
        baked = baked with { Candidate = baked.Candidate with { Train = baked.After, PairDeltaE = baked.PairDeltaE } };
        return untrimmed with
        {
            Chosen = baked,
            TrimNote = string.Create(CultureInfo.InvariantCulture,
                $"A trim made by hand is part of this correction ({trim}): the mean Delta E against camera A is {baked.After.Mean:F2} with it, {untrimmed.Chosen.After.Mean:F2} without."),
            TrimmedCdl = NearestCdl(baked, samples, cancel),
        };
    }

    // Fitted to the output of the trimmed correction on the samples, and judged against camera A like every other kind.
    private static FittedCandidate? NearestCdl(BakedCorrection baked, SampleSet samples, CancellationToken cancel)
    {
        if (samples.PrimaryEncoding != samples.SecondaryEncoding)
        {
            return null;
        }

        SampleSet aimed = samples with
        {
            Method = SamplingMethod.Given,
            Pairs = [.. samples.Pairs.Select(p => p with { Primary = baked.Corrected(p) })],
        };
        try
        {
            FitResult fit = CorrectionFitting.Fit(aimed, FitOptions.Default with { Kinds = [CorrectionKind.Cdl] }, cancel);
            return fit.Candidates.FirstOrDefault(c => c.Correction.Kind == CorrectionKind.Cdl) is { } cdl
                ? cdl with { Train = BakedCorrection.Differences(samples, cdl.Correction.Apply).Of }
                : null;
        }
        catch (NoTrustworthyResultException)
        {
            // A trim that leaves only one colour: a CDL cannot express that.
            return null;
        }
    }

    private static Result AskedFor(FitResult fit, SampleSet samples, CorrectionKind kind, int lutSize)
    {
        FittedCandidate asked = fit.Candidates.FirstOrDefault(c => c.Correction.Kind == kind)
            ?? throw new NoTrustworthyResultException(
                fit.NotFitted.FirstOrDefault(n => n.Kind == kind).Why is { } why
                    ? $"A correction of the kind {kind.Name()} cannot be fitted to these samples: {why}"
                    : $"A correction of the kind {kind.Name()} cannot be fitted to these samples.");
        BakedCorrection baked = BakedCorrection.Of(asked, samples, lutSize);
        return new Result(fit, baked, fit.Advised.Correction.Kind == kind
            ? []
            : [string.Create(CultureInfo.InvariantCulture,
                $"You asked for {kind.Name()}; the figures advise {fit.Advised.Correction.Kind.Name()} (mean Delta E {fit.Advised.HeldOutOrFitted.Mean:F2} instead of {asked.HeldOutOrFitted.Mean:F2}).")]);
    }

    // The advised kind unchanged if its whole table is safe. Otherwise its steepness away from the samples is removed:
    // there it blends into the best of the stiff kinds, over the longest distance that makes the table safe where the
    // footage has colours.
    private static Result Advised(FitResult fit, SampleSet samples, int lutSize)
    {
        BakedCorrection advised = BakedCorrection.Of(fit.Advised, samples, lutSize);
        if (!advised.Dangers.Any() || fit.Advised.Correction.Kind == CorrectionKind.Identity)
        {
            return new Result(fit, advised, []);
        }

        SampledColours seen = SampledColours.Of(samples);
        BakedCorrection chosen = advised.JudgedWhere(seen);
        FittedCandidate? stiff = fit.Candidates
            .Where(c => s_stiff.Contains(c.Correction.Kind) && c != fit.Advised)
            .OrderBy(c => c.HeldOutOrFitted.Mean)
            .FirstOrDefault(c => !BakedCorrection.Of(c, samples, lutSize, seen).Dangers.Any());
        string elsewhere = stiff is null ? "" : stiff.Correction.Kind.Name();
        foreach (double reach in stiff is null ? [] : s_reaches)
        {
            BakedCorrection bounded = BakedCorrection.Of(Bounded(fit.Advised, stiff!, samples, seen, reach), samples, lutSize, seen);
            if (Worst(bounded) < Worst(chosen) || !bounded.Dangers.Any())
            {
                chosen = bounded;
            }

            if (!bounded.Dangers.Any())
            {
                break;
            }
        }

        string kind = fit.Advised.Correction.Kind.Name();
        double cost = chosen.After.Mean - advised.After.Mean;
        return new Result(fit, chosen, chosen.Candidate == fit.Advised
            ? []
            : [string.Create(CultureInfo.InvariantCulture,
                $"Far from all colours that were compared, {kind} would be too steep ({advised.Dangers.First().Sentence.TrimEnd('.')}). There it blends into {elsewhere}; on the compared colours this costs {Math.Max(0, cost):F2} Delta E.")]);
    }

    private static readonly CorrectionKind[] s_stiff = [CorrectionKind.Gains, CorrectionKind.LiftGammaGain, CorrectionKind.Cdl, CorrectionKind.Matrix];

    // Distances from the nearest sample, in CIELAB units, over which a flexible kind blends into a stiff one.
    private static readonly double[] s_reaches = [60, 40, 25, 15];

    // The factor by which the worst figure exceeds its limit.
    private static double Worst(BakedCorrection baked) => baked.Dangers.Select(f => f.Value / f.Limit).DefaultIfEmpty(0).Max();

    private static FittedCandidate Bounded(FittedCandidate rich, FittedCandidate stiff, SampleSet samples, SampledColours seen, double reach)
    {
        double Trust(CodeRgb c)
        {
            double far = Math.Max(0, seen.Distance(c) - SampledColours.Near) / reach;
            return Math.Exp(-far * far);
        }

        LatticeCorrection bounded = MixedCorrections.Of(rich.Correction.Apply, stiff.Correction, Trust, FitOptions.Default.LatticeNodes) with { Holds = rich.Correction.Kind };
        (DeltaEStatistics train, ImmutableArray<double> differences) = BakedCorrection.Differences(samples, bounded.Apply);
        return rich with
        {
            Correction = bounded,
            Train = train,
            HowItEnded = $"{rich.HowItEnded}; blends into {stiff.Correction.Kind.Name()} away from the samples",
            PairDeltaE = differences,
        };
    }
}
