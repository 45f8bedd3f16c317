using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Models;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// Fits one kind of correction. To add a kind: one class derived from <see cref="Correction"/>, one from this (or a
/// <see cref="ParametricModel"/> given to <see cref="ParametricFitter"/>), and a line in
/// <see cref="CorrectionFitting"/>'s list.
/// </summary>
internal abstract class KindFitter
{
    /// <summary>The kind.</summary>
    public abstract CorrectionKind Kind { get; }

    /// <summary>Why these samples cannot determine the kind, as a sentence; null when they can.</summary>
    public abstract string? WhyNot(SampleCoverage coverage);

    /// <summary>The fitter with its hyperparameters chosen by cross-validation; most have none.</summary>
    public virtual KindFitter Tuned(FitSamples samples, CrossValidation validation, CancellationToken cancel) => this;

    /// <summary>
    /// Fits the kind. <paramref name="near"/> is a fit of the same kind to nearly the same samples, used as a starting
    /// point, or null.
    /// </summary>
    public abstract Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel);
}

/// <summary>A fitted kind.</summary>
internal sealed class Fitted
{
    private readonly Lazy<Correction> _correction;

    /// <summary>A fit with a finished correction.</summary>
    public Fitted(Correction correction, double[] parameters, string howItEnded)
        : this(correction.Apply, () => correction, parameters, howItEnded)
    {
    }

    /// <summary>A fit whose correction is expensive to make: cross-validation needs only its map.</summary>
    public Fitted(Func<CodeRgb, CodeRgb> map, Func<Correction> correction, double[] parameters, string howItEnded)
    {
        (Map, Parameters, HowItEnded) = (map, parameters, howItEnded);
        _correction = new Lazy<Correction>(correction);
    }

    /// <summary>Maps a secondary colour.</summary>
    public Func<CodeRgb, CodeRgb> Map { get; }

    /// <summary>The correction.</summary>
    public Correction Correction => _correction.Value;

    /// <summary>The fitter's parameters.</summary>
    public double[] Parameters { get; }

    /// <summary>The pairs as used in the last round of the fit, adjusted for noise; null if unchanged.</summary>
    public FitSamples? AsFitted { get; init; }

    /// <summary>How the fit ended, for experts.</summary>
    public string HowItEnded { get; }
}
