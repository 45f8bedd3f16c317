using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>Parameters: logarithms of the three gains.</summary>
internal sealed class GainsModel : ParametricModel
{
    public override int ParameterCount => 3;

    public override bool GivesLight => true;

    public override double[] Start(FitSamples samples)
    {
        PerChannel gains = ClosedForm.Gains(samples);
        return [Math.Log(gains.R), Math.Log(gains.G), Math.Log(gains.B)];
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        dy[..9].Clear();
        y[0] = dy[0] = Math.Exp(p[0]) * pair.Light.R;
        y[1] = dy[4] = Math.Exp(p[1]) * pair.Light.G;
        y[2] = dy[8] = Math.Exp(p[2]) * pair.Light.B;
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) =>
        new GainsCorrection(samples.SecondaryEncoding, samples.PrimaryEncoding, Math.Exp(p[0]), Math.Exp(p[1]), Math.Exp(p[2]));

    // Up to about two stops in either direction are normal.
    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        precision[..3].Fill(1 / 1.4);
    }
}
