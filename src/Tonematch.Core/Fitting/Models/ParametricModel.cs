using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>
/// A kind of correction as a smooth function of n parameters, for Levenberg-Marquardt. A new parametric kind is one
/// class derived from this, added to <see cref="CorrectionFitting"/>'s list.
/// </summary>
internal abstract class ParametricModel
{
    private double[] _unused = [];

    /// <summary>The number of parameters.</summary>
    public abstract int ParameterCount { get; }

    /// <summary>
    /// Whether <see cref="Evaluate(ReadOnlySpan{double}, FitPair, Span{double})"/> gives scene light (still to be
    /// passed through the camera curve) or code values.
    /// </summary>
    public abstract bool GivesLight { get; }

    /// <summary>A closed-form starting point.</summary>
    public abstract double[] Start(FitSamples samples);

    /// <summary>
    /// The group of a parameter. The common size of each group other than 0 is estimated from the data (see
    /// <see cref="ParametricFitter"/>).
    /// </summary>
    public virtual int GroupOf(int parameter) => 0;

    /// <summary>Called with the parameters before a pass over the pairs, to compute what all pairs share.</summary>
    public virtual void Prepare(ReadOnlySpan<double> p)
    {
    }

    /// <summary>The result for one pair and its 3 x n derivatives by the parameters, row by row.</summary>
    public abstract void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy);

    /// <summary>The result without derivatives; for kinds whose derivatives are expensive.</summary>
    public virtual void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y)
    {
        if (_unused.Length == 0)
        {
            _unused = new double[3 * ParameterCount];
        }

        Evaluate(p, pair, y, _unused);
    }

    /// <summary>The correction with these parameters.</summary>
    public abstract Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples);

    /// <summary>
    /// The strength with which each parameter is held near its expected value: 1 / its expected standard deviation in
    /// real cameras. It counts as much as one residual of the size of the fit's noise, so its influence decreases with
    /// the number of pairs and vanishes if the pairs fit exactly.
    /// </summary>
    public abstract void Prior(Span<double> centre, Span<double> precision);
}
