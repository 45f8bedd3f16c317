using Tonematch.Colour;
using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>
/// Parameters: the 18 weights. The root terms are held near 0, so that with few pairs it is almost a matrix.
/// </summary>
/// <param name="samples">Their least-squares gains set the expected size of each row's weights.</param>
internal sealed class RootPolynomialModel(FitSamples samples) : ParametricModel
{
    // Expected standard deviations, in units of the row's gain.
    private const double Gain = 1;
    private const double Mixing = 0.2;
    private const double Root = 0.1;

    private readonly PerChannel _gains = ClosedForm.Gains(samples);

    private const int Terms = RootPolynomialCorrection.Terms;

    public override int ParameterCount => 3 * Terms;

    public override bool GivesLight => true;

    public override double[] Start(FitSamples samples)
    {
        Matrix3 m = ClosedForm.Matrix(samples);
        return [m.M11, m.M12, m.M13, 0, 0, 0, m.M21, m.M22, m.M23, 0, 0, 0, m.M31, m.M32, m.M33, 0, 0, 0];
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        const int n = 3 * Terms;
        Span<double> t = stackalloc double[Terms];
        RootPolynomialCorrection.Expand(pair.Light, t);
        dy[..(3 * n)].Clear();
        for (int c = 0; c < 3; c++)
        {
            y[c] = 0;
            for (int k = 0; k < Terms; k++)
            {
                y[c] += p[(Terms * c) + k] * t[k];
                dy[(n * c) + (Terms * c) + k] = t[k];
            }
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) =>
        new RootPolynomialCorrection(samples.SecondaryEncoding, samples.PrimaryEncoding, [.. p]);

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        for (int c = 0; c < 3; c++)
        {
            centre[(Terms * c) + c] = _gains[c];
            for (int k = 0; k < Terms; k++)
            {
                precision[(Terms * c) + k] = 1 / ((k == c ? Gain : k < 3 ? Mixing : Root) * _gains[c]);
            }
        }
    }
}
