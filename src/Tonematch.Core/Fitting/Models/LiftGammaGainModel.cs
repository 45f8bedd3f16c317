using Tonematch.Corrections;
using Tonematch.Fitting.Solvers;

namespace Tonematch.Fitting.Models;

/// <summary>Parameters per channel: lift, logarithm of gamma, logarithm of (gain - lift).</summary>
internal sealed class LiftGammaGainModel : ParametricModel
{
    public override int ParameterCount => 9;

    public override bool GivesLight => false;

    public override double[] Start(FitSamples samples)
    {
        double[] p = new double[9];
        for (int c = 0; c < 3; c++)
        {
            (double offset, double slope) = ClosedForm.Line(samples, c);
            p[3 * c] = offset;
            p[(3 * c) + 2] = Math.Log(slope);
        }

        return p;
    }

    public override void Evaluate(ReadOnlySpan<double> p, FitPair pair, Span<double> y, Span<double> dy)
    {
        dy[..27].Clear();
        Span<double> x = [pair.Code.R, pair.Code.G, pair.Code.B];
        for (int c = 0; c < 3; c++)
        {
            double range = Math.Exp(p[(3 * c) + 2]), power = Math.Exp(-p[(3 * c) + 1]);
            double b = p[3 * c] + (range * x[c]), size = Math.Max(Math.Abs(b), 1e-9);
            double value = Math.Pow(size, power);
            y[c] = b < 0 ? -value : value;
            double slope = power * value / size;
            Span<double> d = dy.Slice((9 * c) + (3 * c), 3);
            d[0] = slope;
            d[1] = -y[c] * Math.Log(size) * power;
            d[2] = slope * range * x[c];
        }
    }

    public override Correction ToCorrection(ReadOnlySpan<double> p, FitSamples samples)
    {
        PerChannel lift = new(p[0], p[3], p[6]);
        PerChannel range = new(Math.Exp(p[2]), Math.Exp(p[5]), Math.Exp(p[8]));
        return new LiftGammaGainCorrection(
            samples.SecondaryEncoding,
            samples.PrimaryEncoding,
            lift,
            new PerChannel(Math.Exp(p[1]), Math.Exp(p[4]), Math.Exp(p[7])),
            new PerChannel(lift.R + range.R, lift.G + range.G, lift.B + range.B));
    }

    // Expected: blacks within a tenth of the range, gamma from half to double, gain within about a stop.
    public override void Prior(Span<double> centre, Span<double> precision)
    {
        centre.Clear();
        for (int c = 0; c < 3; c++)
        {
            precision[3 * c] = 1 / 0.1;
            precision[(3 * c) + 1] = 1 / 0.5;
            precision[(3 * c) + 2] = 1 / 0.7;
        }
    }
}
