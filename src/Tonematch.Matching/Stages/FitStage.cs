using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Samples;

namespace Tonematch.Matching.Stages;

/// <summary>Fits, bakes, and settles on the correction that is handed over.</summary>
public static class FitStage
{
    /// <summary>The fit of all kinds, the one that is handed over, and what to say about the choice.</summary>
    /// <param name="Fit">Every kind that was tried.</param>
    /// <param name="Chosen">The one handed over, baked.</param>
    /// <param name="Warnings">Why it is not the one the figures alone would advise, in sentences.</param>
    public sealed record Result(FitResult Fit, BakedCorrection Chosen, ImmutableArray<string> Warnings);

    /// <summary>Fits the kind asked for, or all and takes the advised one whose table is safe to use.</summary>
    /// <param name="samples">Corresponding colours.</param>
    /// <param name="model">The kind asked for, or null for the advised one.</param>
    /// <param name="lutSize">Nodes a side, 2..129.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <exception cref="NoTrustworthyResultException">The samples cannot carry the fit.</exception>
    public static Result Run(SampleSet samples, CorrectionKind? model, int lutSize, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(samples);
        FitResult fit = CorrectionFitting.Fit(samples, FitOptions.Default, cancel);
        return model is { } kind ? AskedFor(fit, samples, kind, lutSize) : Advised(fit, samples, lutSize);
    }

    private static Result AskedFor(FitResult fit, SampleSet samples, CorrectionKind kind, int lutSize)
    {
        FittedCandidate asked = fit.Candidates.FirstOrDefault(c => c.Correction.Kind == kind)
            ?? throw new NoTrustworthyResultException(
                fit.NotFitted.FirstOrDefault(n => n.Kind == kind).Why is { } why
                    ? $"A correction of the kind {kind.Name()} cannot be fitted to these samples: {why}"
                    : $"A correction of the kind {kind.Name()} cannot be fitted to these samples.");
        BakedCorrection baked = BakedCorrection.Of(asked, samples, lutSize);
        List<string> warnings = [.. Unsafe(baked)];
        if (fit.Advised.Correction.Kind != kind)
        {
            warnings.Add(string.Create(CultureInfo.InvariantCulture,
                $"You asked for {kind.Name()}; the figures advise {fit.Advised.Correction.Kind.Name()} (mean Delta E {Honest(fit.Advised):F2} in place of {Honest(asked):F2})."));
        }

        return new Result(fit, baked, [.. warnings]);
    }

    // The advised kind, or else the best one whose table does not band, fold or explode.
    private static Result Advised(FitResult fit, SampleSet samples, int lutSize)
    {
        BakedCorrection advised = BakedCorrection.Of(fit.Advised, samples, lutSize);
        if (!Dangers(advised).Any())
        {
            return new Result(fit, advised, [.. Unsafe(advised)]);
        }

        double before = fit.Before.Mean;
        foreach (FittedCandidate candidate in fit.Candidates
            .Where(c => c != fit.Advised && c.Correction.Kind != CorrectionKind.Identity && Honest(c) < before)
            .OrderBy(Honest))
        {
            BakedCorrection baked = BakedCorrection.Of(candidate, samples, lutSize);
            if (!Dangers(baked).Any())
            {
                return new Result(fit, baked, [string.Create(CultureInfo.InvariantCulture,
                    $"By the samples {fit.Advised.Correction.Kind.Name()} would be advised (mean Delta E {Honest(fit.Advised):F2}; {candidate.Correction.Kind.Name()} {Honest(candidate):F2}), but its LUT is not safe to use: {Dangers(advised).First().Sentence} So {candidate.Correction.Kind.Name()} is handed over instead.")]);
            }
        }

        return new Result(fit, advised, [.. Unsafe(advised)]);
    }

    /// <summary>The figure a choice may lean on: cross-validated where there is one, else trained.</summary>
    public static double Honest(FittedCandidate candidate)
    {
        ArgumentNullException.ThrowIfNull(candidate);
        return (candidate.CrossValidated ?? candidate.Train).Mean;
    }

    // Baking errors are not dangers: they are in the figures of the table already, and one colour at the very edge of
    // the range must not cost everywhere else. Nor is clipping: what leaves the range because the secondary is darker,
    // warmer or of less colour leaves it in every kind (a CDL only limits it itself), and another one would match worse.
    private static IEnumerable<LutFinding> Dangers(BakedCorrection baked) => baked.Safety.Findings.Where(f =>
        !f.IsWithin && f.Property is not (LutProperty.ClippedShare or LutProperty.MeanBakingError or LutProperty.LargestBakingError));

    private static IEnumerable<string> Unsafe(BakedCorrection baked) =>
        baked.Safety.IsSafe ? [] : [$"The LUT is to be used with care: {baked.Safety.Findings.First(f => !f.IsWithin).Sentence}"];
}
