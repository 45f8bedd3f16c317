using System.Collections.Immutable;
using System.Globalization;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.LinearAlgebra.Factorization;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// The fallback without correspondences: compares the colours of both pictures as distributions. It assumes that both
/// cameras saw the same mixture of things, which is rarely true, so its confidence is always low.
/// </summary>
public static class OverallSampler
{
    /// <summary>The warning that always accompanies these samples.</summary>
    public const string LowConfidence =
        "No common objects or chart were used: the pictures were only compared as a whole, which works only if both show much the same things in the same amounts. The confidence is low; check skin and whites by eye, or film a chart, or mark regions.";

    // Enough for means and standard deviations to a tenth of a code value.
    private const int MostPixels = 40000;
    private const double SmallestUsableShare = 0.2;

    // Standard deviation of code values: below this a picture is one grey surface and has no distribution to match.
    private const double SmallestSpread = 0.02;
    private const double Reach = 1.5;

    /// <summary>
    /// Describes both distributions (clipped pixels left out) by mean and covariance of the code values, takes the
    /// linear Monge-Kantorovich map between them (F. Pitié and A. Kokaram, 'The linear Monge-Kantorovitch linear colour
    /// mapping for example-based colour transfer', CVMP 2007), which reproduces mean and spread (E. Reinhard et al.,
    /// 'Color transfer between images', IEEE CG&amp;A 21(5), 2001) along every axis, and gives it as seven pairs: the
    /// secondary's mean, and 1.5 standard deviations to both sides along its principal axes (fewer if that leaves the
    /// code range), weighted by the axis's share of the variance. Suitable for simple kinds of correction only. The
    /// pixels of several frames are pooled.
    /// </summary>
    /// <param name="primary">The primary's frames.</param>
    /// <param name="secondary">The secondary's frames at the same instants.</param>
    /// <exception cref="ArgumentException">No frames, or one side's frames differ in encoding.</exception>
    public static SampleSet Sample(IReadOnlyList<Picture> primary, IReadOnlyList<Picture> secondary)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        if (primary.Count == 0 || secondary.Count == 0
            || primary.Any(p => p.Encoding != primary[0].Encoding) || secondary.Any(p => p.Encoding != secondary[0].Encoding))
        {
            throw new ArgumentException("At least one frame per side is needed, all of one encoding.");
        }

        (Distribution? p, int clippedP) = Describe(primary);
        (Distribution? s, int clippedS) = Describe(secondary);
        SampleSet empty = new(primary[0].Encoding, secondary[0].Encoding, SamplingMethod.Overall, [])
        {
            Warnings = [LowConfidence],
            Rejected = clippedP + clippedS > 0
                ? ImmutableSortedDictionary<string, int>.Empty.Add("clipped", clippedP + clippedS)
                : ImmutableSortedDictionary<string, int>.Empty,
        };
        if (p is null || s is null)
        {
            return empty with
            {
                Refusal = $"{(p is null ? "Camera A" : "Camera B")} shows too little to compare (black, clipped, or one plain surface). Choose instants that show the scene.",
            };
        }

        return empty with { Pairs = Pairs(p, s) };
    }

    private static ImmutableArray<SamplePair> Pairs(Distribution p, Distribution s)
    {
        Matrix<double> map = MongeKantorovich(s.Covariance, p.Covariance);
        Evd<double> axes = s.Covariance.Evd(Symmetricity.Symmetric);
        double total = axes.EigenValues.Sum(v => v.Real);
        ImmutableArray<SamplePair>.Builder pairs = ImmutableArray.CreateBuilder<SamplePair>();
        pairs.Add(Pair("mean", Vector<double>.Build.Dense(3), 1));
        for (int axis = 2; axis >= 0; axis--)
        {
            double variance = Math.Max(0, axes.EigenValues[axis].Real);
            Vector<double> step = axes.EigenVectors.Column(axis) * Math.Sqrt(variance);
            foreach (int sign in (ReadOnlySpan<int>)[-1, 1])
            {
                double reach = Reach;
                while (reach > 0.1 && !(InRange(s.Mean + (sign * reach * step)) && InRange(p.Mean + (map * (sign * reach * step)))))
                {
                    reach -= 0.1;
                }

                string name = string.Create(CultureInfo.InvariantCulture, $"axis-{3 - axis}{(sign < 0 ? "-low" : "-high")}");
                pairs.Add(Pair(name, sign * reach * step, Math.Max(0.05, variance / total)));
            }
        }

        return pairs.ToImmutable();

        SamplePair Pair(string name, Vector<double> step, double weight) =>
            new(name, name, Code(p.Mean + (map * step)), Code(s.Mean + step)) { Weight = weight };
    }

    // T = Cs^-1/2 (Cs^1/2 Cp Cs^1/2)^1/2 Cs^-1/2, Pitié and Kokaram 2007, eq. (14).
    private static Matrix<double> MongeKantorovich(Matrix<double> from, Matrix<double> to)
    {
        Matrix<double> root = Power(from, 0.5), inverse = Power(from, -0.5);
        return inverse * Power(root * to * root, 0.5) * inverse;
    }

    private static Matrix<double> Power(Matrix<double> symmetric, double power)
    {
        Evd<double> evd = symmetric.Evd(Symmetricity.Symmetric);
        Vector<double> values = evd.EigenValues.Map(v => Math.Pow(Math.Max(v.Real, 1e-8), power));
        return evd.EigenVectors * Matrix<double>.Build.DenseOfDiagonalVector(values) * evd.EigenVectors.Transpose();
    }

    private static bool InRange(Vector<double> c) => c.All(v => v is >= 0 and <= 1);

    private static CodeRgb Code(Vector<double> v) => new(v[0], v[1], v[2]);

    private static (Distribution? Found, int Clipped) Describe(IReadOnlyList<Picture> pictures)
    {
        long pixels = pictures.Sum(p => (long)p.Width * p.Height);
        int step = (int)Math.Max(1, pixels / MostPixels) | 1;
        int used = 0, clipped = 0;
        Vector<double> sum = Vector<double>.Build.Dense(3);
        Matrix<double> products = Matrix<double>.Build.Dense(3, 3);
        double[] c = new double[3];
        foreach (Picture picture in pictures)
        {
            int length = picture.Width * picture.Height;
            for (int i = step / 2; i < length; i += step)
            {
                CodeRgb code = new(picture.R[i], picture.G[i], picture.B[i]);
                if (!code.IsFinite || ColourStatistics.Clips(code))
                {
                    clipped++;
                    continue;
                }

                used++;
                (c[0], c[1], c[2]) = (code.R, code.G, code.B);
                for (int a = 0; a < 3; a++)
                {
                    sum[a] += c[a];
                    for (int b = 0; b < 3; b++)
                    {
                        products[a, b] += c[a] * c[b];
                    }
                }
            }
        }

        if (used < 100 || used < SmallestUsableShare * (used + clipped))
        {
            return (null, clipped);
        }

        Vector<double> mean = sum / used;
        Matrix<double> covariance = (products / used) - mean.OuterProduct(mean);
        bool flat = Math.Sqrt(Math.Max(0, covariance.Trace() / 3)) < SmallestSpread;
        return (flat ? null : new Distribution(mean, covariance), clipped);
    }

    private sealed record Distribution(Vector<double> Mean, Matrix<double> Covariance);
}
