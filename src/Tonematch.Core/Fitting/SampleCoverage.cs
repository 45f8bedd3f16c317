using MathNet.Numerics.LinearAlgebra;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;

namespace Tonematch.Fitting;

/// <summary>The coverage of a set of samples, which decides which kinds can be fitted.</summary>
/// <param name="Distinct">The number of secondary colours that differ from one another by more than 1 CIEDE2000, up to 64.</param>
/// <param name="OnlyGreys">Whether the secondary's light lies on one line through black: greys or one hue.</param>
/// <param name="Unclipped">The number of pairs that are clipped on neither side.</param>
internal sealed record SampleCoverage(int Distinct, bool OnlyGreys, int Unclipped)
{
    public static SampleCoverage Of(FitSamples samples)
    {
        List<Lab> distinct = [];
        Matrix<double> light = Matrix<double>.Build.Dense(3, 3);
        foreach (FitPair pair in samples.Pairs)
        {
            Lab lab = samples.PrimaryEncoding.ToLab(pair.Code.Clamped());
            if (distinct.Count < 64 && distinct.TrueForAll(l => DeltaE2000.Between(l, lab) > 1))
            {
                distinct.Add(lab);
            }

            double length = Math.Sqrt((pair.Light.R * pair.Light.R) + (pair.Light.G * pair.Light.G) + (pair.Light.B * pair.Light.B));
            if (length > 1e-4)
            {
                ReadOnlySpan<double> d = [pair.Light.R / length, pair.Light.G / length, pair.Light.B / length];
                for (int i = 0; i < 3; i++)
                {
                    for (int j = 0; j < 3; j++)
                    {
                        light[i, j] += d[i] * d[j] / samples.Count;
                    }
                }
            }
        }

        // The mean product of directions has trace 1; its smallest eigenvalue is the share of light perpendicular to
        // the two others. Three colours that a camera can distinguish leave more than 1e-4 there; greys with a trace of
        // noise leave less.
        double smallest = samples.Count > 0 ? light.Evd(Symmetricity.Symmetric).EigenValues.Enumerate().Min(e => e.Real) : 0;
        return new SampleCoverage(distinct.Count, smallest < 1e-5, samples.Pairs.Count(p => !p.SecondaryClipped && !p.PrimaryClipped));
    }
}
