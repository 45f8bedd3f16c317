using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>
/// Parameters per channel: logarithm of slope, offset, logarithm of power; then the logarithm of saturation.
/// </summary>
internal sealed class CdlModel : ParametricModel
{
    // The result clamps as in the definition, but the derivatives keep a hundredth of the slope beyond the clamp;
    // without that the fit could not recover from a start that clips.
    private const double Leak = 0.01;

    public override int ParameterCount => 10;

    public override bool GivesLight => false;

    public override double[] Start(FitSamples samples)
    {
        double[] p = new double[10];
        for (int c = 0; c < 3; c++)
        {
            (double offset, double slope) = ClosedForm.Line(samples, c);
            p[3 * c] = Math.Log(slope);
            p[(3 * c) + 1] = offset;
        }

        return p;
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        const int n = 10;
        dy[..(3 * n)].Clear();
        Span<double> x = [pair.Code.R, pair.Code.G, pair.Code.B];
        ReadOnlySpan<double> weight = [CdlCorrection.LumaR, CdlCorrection.LumaG, CdlCorrection.LumaB];
        Span<double> sop = stackalloc double[3];
        Span<double> d = stackalloc double[9];
        double luma = 0;
        for (int c = 0; c < 3; c++)
        {
            double slope = Math.Exp(p[3 * c]), power = Math.Exp(p[(3 * c) + 2]);
            double b = (slope * x[c]) + p[(3 * c) + 1];
            double within = Math.Clamp(b, 1e-9, 1), leak = within == b ? 1 : Leak;
            double value = Math.Pow(within, power);
            double steep = power * value / within * leak;
            sop[c] = value;
            luma += weight[c] * sop[c];
            d[3 * c] = steep * slope * x[c];
            d[(3 * c) + 1] = steep;
            d[(3 * c) + 2] = value * Math.Log(within) * power;
        }

        double saturation = Math.Exp(p[9]);
        for (int o = 0; o < 3; o++)
        {
            y[o] = luma + (saturation * (sop[o] - luma));
            for (int c = 0; c < 3; c++)
            {
                double share = ((1 - saturation) * weight[c]) + (o == c ? saturation : 0);
                for (int k = 0; k < 3; k++)
                {
                    dy[(n * o) + (3 * c) + k] = share * d[(3 * c) + k];
                }
            }

            dy[(n * o) + 9] = saturation * (sop[o] - luma);
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples) => new CdlCorrection(
        samples.SecondaryEncoding,
        samples.PrimaryEncoding,
        new PerChannel(Math.Exp(p[0]), Math.Exp(p[3]), Math.Exp(p[6])),
        new PerChannel(p[1], p[4], p[7]),
        new PerChannel(Math.Exp(p[2]), Math.Exp(p[5]), Math.Exp(p[8])),
        Math.Exp(p[9]));

    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        for (int c = 0; c < 3; c++)
        {
            precision[3 * c] = 1 / 0.7;
            precision[(3 * c) + 1] = 1 / 0.1;
            precision[(3 * c) + 2] = 1 / 0.5;
        }

        precision[9] = 1 / 0.4;
    }
}
