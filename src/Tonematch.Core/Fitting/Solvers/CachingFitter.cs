using System.Runtime.CompilerServices;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Solvers;

/// <summary>Fits each set of samples only once, since cross-validation and the lattice request the same fits.</summary>
internal sealed class CachingFitter(KindFitter inner) : KindFitter
{
    private readonly ConditionalWeakTable<FitSamples, Fitted> _known = [];

    public override CorrectionKind Kind => inner.Kind;

    public override string? WhyNot(SampleCoverage coverage) => inner.WhyNot(coverage);

    public override Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel)
    {
        if (!_known.TryGetValue(samples, out Fitted? fitted))
        {
            fitted = inner.Fit(samples, near, cancel);
            _known.AddOrUpdate(samples, fitted);
        }

        return fitted;
    }
}
