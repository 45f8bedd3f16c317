using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Pictures;

namespace Tonematch.Charts;

/// <summary>Tells whether measured patches are those of a known chart, and which way the chart is turned.</summary>
public static class ChartRecognition
{
    private const int AffineTerms = 4;
    private const int QuadraticTerms = 10;

    // Errors in code values: a patch this far from the affine map of the known colours is out of line whatever the
    // others do, and one nearer than half of it never is (picture styles bend that much).
    private const double FarError = 0.30;
    private const double NearError = 0.15;

    /// <summary>
    /// Compares a measurement with the known colours, robustly: a minority of hidden patches does not matter. Patches
    /// marked 'outside' or 'hidden' are not looked at; clipped ones are.
    /// </summary>
    /// <exception cref="ArgumentException">The layouts differ.</exception>
    public static ChartMatch Compare(ChartMeasurement measurement, ChartReference reference)
    {
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(reference);
        int n = reference.Layout.Count;
        if (measurement.Patches.Length != n)
        {
            throw new ArgumentException("The measurement and the reference have different layouts.");
        }

        double[] known = KnownCodes(reference), terms = Terms(known, AffineTerms);
        double[] measured = [.. measurement.Patches.SelectMany(p => (double[])[p.Colour.R, p.Colour.G, p.Colour.B])];
        double[] seen = [.. measurement.Patches.Select(p => p.Fault is "outside" or "hidden" ? 0.0 : 1.0)];
        if (seen.Sum() < AffineTerms + 2
            || LinearColourFit.SolveRobustly(terms, AffineTerms, measured, seen, 0.02) is not (double[] _, double[] errors))
        {
            return new ChartMatch(0, 0, double.PositiveInfinity, []);
        }

        double[] sorted = [.. errors.Where((_, i) => seen[i] > 0).Order()];
        double limit = Math.Clamp(4 * sorted[sorted.Length / 2], NearError, FarError);
        double[] agreeing = [.. errors.Select((e, i) => seen[i] > 0 && e <= limit ? 1.0 : 0.0)];
        ImmutableArray<int> outOfLine = [.. Enumerable.Range(0, n).Where(i => seen[i] > 0 && agreeing[i] == 0)];
        int count = (int)agreeing.Sum();
        double explained = LinearColourFit.Solve(terms, AffineTerms, measured, agreeing) is double[] m
            ? Explained(measured, LinearColourFit.Errors(terms, AffineTerms, measured, m), agreeing)
            : 0;
        explained *= count >= ChartMatch.SmallestAgreeingShare * n ? 1 : count / (ChartMatch.SmallestAgreeingShare * n);
        return new ChartMatch(explained, count, Residual(measurement, reference, agreeing), outOfLine);
    }

    /// <summary>
    /// Measures a chart whose outer corners were marked, in any order: of the ways it may be turned the one whose
    /// colours agree best. Null when the corners do not span a chart or no way agrees.
    /// </summary>
    public static ChartMeasurement? MeasureTurned(Picture picture, ReadOnlySpan<PicturePoint> corners, ChartReference reference)
    {
        ArgumentNullException.ThrowIfNull(reference);
        PicturePoint[] around = Clockwise(corners);
        (ChartMeasurement? best, double bestShare) = (null, ChartMatch.SmallestExplainedShare);
        for (int turn = 0; turn < around.Length; turn++)
        {
            PicturePoint[] turned = [.. around[turn..], .. around[..turn]];
            if (ChartGeometry.FromCorners(reference.Layout, turned) is ChartGeometry g)
            {
                ChartMeasurement m = ChartSampler.Measure(picture, g);
                double share = Compare(m, reference).ExplainedShare;
                (best, bestShare) = share >= bestShare ? (m, share) : (best, bestShare);
            }
        }

        return best;
    }

    /// <summary>Marks the patches that are out of line as 'hidden', so that no pair is made of them.</summary>
    public static ChartMeasurement WithoutHidden(ChartMeasurement measurement, ChartMatch match)
    {
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(match);
        return measurement with
        {
            Patches = [.. measurement.Patches.Select(p => match.OutOfLine.Contains(p.Index) ? p with { Fault = "hidden" } : p)],
        };
    }

    /// <summary>The known colours as sRGB code values, three a patch: what measured code values are nearly affine to.</summary>
    internal static double[] KnownCodes(ChartReference reference)
    {
        double[] codes = new double[reference.Layout.Count * 3];
        for (int i = 0; i < reference.Layout.Count; i++)
        {
            CodeRgb c = reference.CodeOf(i, SignalEncoding.Srgb).Clamped();
            (codes[i * 3], codes[(i * 3) + 1], codes[(i * 3) + 2]) = (c.R, c.G, c.B);
        }

        return codes;
    }

    internal static double Explained(double[] measured, double[] errors, double[] weights)
    {
        double total = weights.Sum(), left = 0, all = 0;
        Span<double> mean = stackalloc double[3];
        for (int i = 0; i < measured.Length; i++)
        {
            mean[i % 3] += weights[i / 3] * measured[i] / total;
        }

        for (int i = 0; i < weights.Length; i++)
        {
            left += weights[i] * errors[i] * errors[i];
            for (int c = 0; c < 3; c++)
            {
                double d = measured[(i * 3) + c] - mean[c];
                all += weights[i] * d * d;
            }
        }

        return all > 1e-6 * total ? Math.Max(0, 1 - (left / all)) : 0;
    }

    // The measured code values are mapped on the known colours by a full quadratic, and the difference is seen in
    // CIELAB. Clipped patches tell nothing exact and are left out.
    private static double Residual(ChartMeasurement measurement, ChartReference reference, double[] agreeing)
    {
        double[] known = KnownCodes(reference);
        double[] measured = [.. measurement.Patches.SelectMany(p => (double[])[p.Colour.R, p.Colour.G, p.Colour.B])];
        double[] weights = [.. agreeing.Select((w, i) => measurement.Patches[i].Fault is null ? w : 0)];
        if (weights.Sum() < QuadraticTerms + 4)
        {
            return double.PositiveInfinity;
        }

        double[] terms = Terms(measured, QuadraticTerms);
        if (LinearColourFit.SolveRobustly(terms, QuadraticTerms, known, weights, 0.01) is not (double[] m, double[] _))
        {
            return double.PositiveInfinity;
        }

        double sum = 0;
        Span<double> c = stackalloc double[3];
        for (int i = 0; i < weights.Length; i++)
        {
            if (weights[i] == 0)
            {
                continue;
            }

            c.Clear();
            for (int r = 0; r < QuadraticTerms; r++)
            {
                for (int k = 0; k < 3; k++)
                {
                    c[k] += terms[(i * QuadraticTerms) + r] * m[(r * 3) + k];
                }
            }

            Lab mapped = SignalEncoding.Srgb.ToLab(new CodeRgb(c[0], c[1], c[2]).Clamped());
            Lab wanted = SignalEncoding.Srgb.ToLab(new CodeRgb(known[i * 3], known[(i * 3) + 1], known[(i * 3) + 2]));
            sum += DeltaE2000.Between(mapped, wanted);
        }

        return sum / weights.Sum();
    }

    private static double[] Terms(double[] codes, int n)
    {
        double[] terms = new double[codes.Length / 3 * n];
        for (int i = 0; i < codes.Length / 3; i++)
        {
            double r = codes[i * 3], g = codes[(i * 3) + 1], b = codes[(i * 3) + 2];
            ReadOnlySpan<double> all = [1, r, g, b, r * r, g * g, b * b, r * g, g * b, b * r];
            all[..n].CopyTo(terms.AsSpan(i * n));
        }

        return terms;
    }

    private static PicturePoint[] Clockwise(ReadOnlySpan<PicturePoint> corners)
    {
        if (corners.Length != 4)
        {
            throw new ArgumentException("A chart has four corners.", nameof(corners));
        }

        PicturePoint[] all = corners.ToArray();
        double mx = all.Average(c => c.X), my = all.Average(c => c.Y);
        return [.. all.OrderBy(c => Math.Atan2(c.Y - my, c.X - mx))];
    }
}
