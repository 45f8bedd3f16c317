using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Solvers;

/// <summary>Weighted linear least squares: the starting points.</summary>
internal static class ClosedForm
{
    /// <summary>One factor per channel, in linear light: least squares, 0.01..100.</summary>
    public static PerChannel Gains(FitSamples samples)
    {
        double Gain(Func<FitPair, double> from, Func<FitPair, double> to)
        {
            double xy = 0, xx = 0;
            foreach (FitPair p in samples.Pairs)
            {
                xy += p.Weight * from(p) * to(p);
                xx += p.Weight * from(p) * from(p);
            }

            return xx > 0 && xy > 0 ? Math.Clamp(xy / xx, 0.01, 100) : 1;
        }

        return new PerChannel(
            Gain(p => p.Light.R, p => p.PrimaryLight.R),
            Gain(p => p.Light.G, p => p.PrimaryLight.G),
            Gain(p => p.Light.B, p => p.PrimaryLight.B));
    }

    /// <summary>Offset and slope of one channel in code values; the slope within 0.1..10.</summary>
    public static (double Offset, double Slope) Line(FitSamples samples, int channel)
    {
        double w = 0, x = 0, y = 0, xx = 0, xy = 0;
        foreach (FitPair p in samples.Pairs)
        {
            (double from, double to) = channel switch
            {
                0 => (p.Code.R, p.PrimaryCode.R),
                1 => (p.Code.G, p.PrimaryCode.G),
                _ => (p.Code.B, p.PrimaryCode.B),
            };
            w += p.Weight;
            x += p.Weight * from;
            y += p.Weight * to;
            xx += p.Weight * from * from;
            xy += p.Weight * from * to;
        }

        double spread = xx - (x * x / w);
        double slope = spread > 1e-6 * w ? Math.Clamp((xy - (x * y / w)) / spread, 0.1, 10) : 1;
        return ((y - (slope * x)) / w, slope);
    }

    /// <summary>
    /// The 3x3 matrix in linear light, regularised towards the plain gains by a thousandth of the pairs' light, so that
    /// it exists for every set.
    /// </summary>
    public static Matrix3 Matrix(FitSamples samples)
    {
        PerChannel gains = Gains(samples);
        Matrix<double> xx = Matrix<double>.Build.Dense(3, 3), xy = Matrix<double>.Build.Dense(3, 3);
        foreach (FitPair p in samples.Pairs)
        {
            ReadOnlySpan<double> x = [p.Light.R, p.Light.G, p.Light.B];
            ReadOnlySpan<double> y = [p.PrimaryLight.R, p.PrimaryLight.G, p.PrimaryLight.B];
            for (int i = 0; i < 3; i++)
            {
                for (int j = 0; j < 3; j++)
                {
                    xx[i, j] += p.Weight * x[i] * x[j];
                    xy[i, j] += p.Weight * x[i] * y[j];
                }
            }
        }

        double hold = (1e-3 * xx.Trace() / 3) + 1e-12;
        for (int i = 0; i < 3; i++)
        {
            xx[i, i] += hold;
            xy[i, i] += hold * gains[i];
        }

        Matrix<double> m = xx.Cholesky().Solve(xy);
        return new Matrix3(m[0, 0], m[1, 0], m[2, 0], m[0, 1], m[1, 1], m[2, 1], m[0, 2], m[1, 2], m[2, 2]);
    }
}
