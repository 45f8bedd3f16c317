using Tonematch.Corrections;

namespace Tonematch.Fitting;

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

    /// <summary>
    /// Fits the kind. <paramref name="near"/> is a fit of the same kind to nearly the same samples to begin from, or null.
    /// </summary>
    public abstract Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel);
}

/// <summary>A fitted kind.</summary>
/// <param name="Correction">The correction.</param>
/// <param name="Parameters">The numbers the fitter works with.</param>
/// <param name="HowItEnded">For the expert.</param>
internal sealed record Fitted(Correction Correction, double[] Parameters, string HowItEnded);
