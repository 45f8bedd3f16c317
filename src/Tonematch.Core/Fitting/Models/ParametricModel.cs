using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>
/// A kind of correction as a smooth function of n numbers: what Levenberg-Marquardt needs to know about it. A new
/// parametric kind is one class derived from this, named in <see cref="CorrectionFitting"/>'s list.
/// </summary>
internal abstract class ParametricModel
{
    private double[] _unused = [];

    /// <summary>How many numbers.</summary>
    public abstract int ParameterCount { get; }

    /// <summary>Whether <see cref="Evaluate(ReadOnlySpan{double}, FitPair, Span{double})"/> gives scene light (to go through the camera curve) or code values.</summary>
    public abstract bool GivesLight { get; }

    /// <summary>A closed-form starting point.</summary>
    public abstract double[] Start(FitSamples samples);

    /// <summary>
    /// Which numbers belong together: group of each. Groups other than 0 have their common size estimated from the data
    /// (see <see cref="ParametricFitter"/>).
    /// </summary>
    public virtual int GroupOf(int parameter) => 0;

    /// <summary>Called with the numbers before a pass over the pairs: what all pairs share can be computed here.</summary>
    public virtual void Prepare(ReadOnlySpan<double> p)
    {
    }

    /// <summary>The result for one pair and its 3 x n derivatives by the parameters, row by row.</summary>
    public abstract void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy);

    /// <summary>The result alone; for kinds whose derivatives cost much.</summary>
    public virtual void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y)
    {
        if (_unused.Length == 0)
        {
            _unused = new double[3 * ParameterCount];
        }

        Evaluate(p, pair, y, _unused);
    }

    /// <summary>The correction these numbers make.</summary>
    public abstract Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples);

    /// <summary>
    /// The strength with which each parameter is held near its expected value: 1 / its expected standard
    /// deviation in cameras as they are. It counts as much as one residual of the size of the fit's own noise, so it
    /// fades with the number of pairs and vanishes when the pairs fit exactly.
    /// </summary>
    public abstract void Prior(Span<double> centre, Span<double> precision);
}
