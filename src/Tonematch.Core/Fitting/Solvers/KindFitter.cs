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
    /// <summary>Which kind.</summary>
    public abstract CorrectionKind Kind { get; }

    /// <summary>Why these samples cannot determine the kind, as a sentence; null when they can.</summary>
    public abstract string? WhyNot(SampleCoverage coverage);

    /// <summary>The fitter with what it chooses by cross-validation chosen; most have nothing to choose.</summary>
    public virtual KindFitter Tuned(FitSamples samples, CrossValidation validation, CancellationToken cancel) => this;

    /// <summary>
    /// Fits the kind. <paramref name="near"/> is a fit of the same kind to nearly the same samples to begin from, or null.
    /// </summary>
    public abstract Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel);
}

/// <summary>A fitted kind.</summary>
internal sealed class Fitted
{
    private readonly Lazy<Correction> _correction;

    /// <summary>A fit whose correction is at hand.</summary>
    public Fitted(Correction correction, double[] parameters, string howItEnded)
        : this(correction.Apply, () => correction, parameters, howItEnded)
    {
    }

    /// <summary>A fit whose correction costs something to make: cross-validation needs only its map.</summary>
    public Fitted(Func<CodeRgb, CodeRgb> map, Func<Correction> correction, double[] parameters, string howItEnded)
    {
        (Map, Parameters, HowItEnded) = (map, parameters, howItEnded);
        _correction = new Lazy<Correction>(correction);
    }

    /// <summary>What it makes of a secondary colour.</summary>
    public Func<CodeRgb, CodeRgb> Map { get; }

    /// <summary>The correction.</summary>
    public Correction Correction => _correction.Value;

    /// <summary>The numbers the fitter works with.</summary>
    public double[] Parameters { get; }

    /// <summary>The pairs as the fit saw them in the end, with what it made of their noise; null: as they were given.</summary>
    public FitSamples? AsFitted { get; init; }

    /// <summary>For the expert.</summary>
    public string HowItEnded { get; }
}
