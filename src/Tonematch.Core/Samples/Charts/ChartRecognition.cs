using System.Collections.Immutable;
using System.Runtime.CompilerServices;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Numerics;
using Tonematch.Pictures;

namespace Tonematch.Samples.Charts;

/// <summary>Decides whether measured patches belong to a known chart, and which way the chart is turned.</summary>
public static class ChartRecognition
{
    private const int AffineTerms = 4;
    private const int QuadraticTerms = 10;

    // Errors in code values: a patch this far from the affine map of the known colours is always an outlier, and one
    // nearer than half of it never is (picture styles bend that much).
    private const double FarError = 0.30;
    private const double NearError = 0.15;

    // Cached because a search needs them for every candidate grid.
    private static readonly ConditionalWeakTable<ChartReference, double[]> s_known = [];

    // A half-shaded chart explains this much without modelling the shadow; with it, it must explain a little more than
    // a plain chart, because the shadow may be placed anywhere.
    private const double PerhapsShaded = 0.55;
    private const double ShadeMargin = 0.04;

    /// <summary>
    /// Compares a measurement with the known colours, robustly: a minority of hidden patches does not matter, and a
    /// shadow over a part is modelled. Patches marked 'outside' or 'hidden' are ignored; clipped ones are used.
    /// </summary>
    /// <param name="measurement">The measured chart.</param>
    /// <param name="reference">The known chart, of the same layout.</param>
    /// <param name="trusted">The patches used to model the camera (all if empty); the others are judged by that model.</param>
    /// <exception cref="ArgumentException">The layouts differ.</exception>
    public static ChartMatch Compare(ChartMeasurement measurement, ChartReference reference, ReadOnlySpan<bool> trusted = default)
    {
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(reference);
        int n = reference.Layout.Count;
        if (measurement.Patches.Length != n || (trusted.Length != 0 && trusted.Length != n))
        {
            throw new ArgumentException("The measurement and the reference have different layouts.");
        }

        double[] seen = new double[n], learn = new double[n];
        for (int i = 0; i < n; i++)
        {
            seen[i] = measurement.Patches[i].Fault is PatchFault.Outside or PatchFault.Hidden ? 0 : 1;
            learn[i] = trusted.Length == 0 || trusted[i] ? seen[i] : 0;
        }

        double[] measured = Codes(measurement);
        double[] terms = Terms(KnownCodes(reference), AffineTerms), evenly = new double[n];
        Array.Fill(evenly, 1);
        ChartMatch plain = Compare(measurement, reference, terms, measured, seen, learn, evenly);
        if (plain.HasKnownColours || plain.ExplainedShare < PerhapsShaded
            || BestShade(terms, measured, learn, reference.Layout) is not double[] shade)
        {
            return plain;
        }

        ChartMatch shaded = Compare(measurement, reference, terms, measured, seen, learn, shade);
        // A shadow must explain half of the residual.
        bool isShadow = shaded.ExplainedShare >= ChartMatch.SmallestExplainedShare + ShadeMargin
            && 1 - shaded.ExplainedShare < 0.5 * (1 - plain.ExplainedShare);
        return !isShadow ? plain : shaded with
        {
            Shaded = [.. Enumerable.Range(0, n).Where(i => shade[i] < 1 && !shaded.OutOfLine.Contains(i))],
        };
    }

    // 'shade': a factor on the code values of each patch, 1 if it is fully lit.
    private static ChartMatch Compare(
        ChartMeasurement measurement, ChartReference reference, double[] terms, double[] measured, double[] seen, double[] learn, double[] shade)
    {
        int n = seen.Length;
        double[] lit = [.. measured.Select((v, i) => v / shade[i / 3])];
        if (learn.Sum() < AffineTerms + 2
            || LinearColourFit.SolveRobustly(terms, AffineTerms, lit, learn, 0.02) is not (double[] _, double[] errors))
        {
            return new ChartMatch(0, 0, double.PositiveInfinity, []);
        }

        double limit = Math.Clamp(4 * Median.Of(errors.Where((_, i) => learn[i] > 0)), NearError, FarError);
        double[] agreeing = [.. errors.Select((e, i) => seen[i] > 0 && e <= limit ? 1.0 : 0.0)];
        ImmutableArray<int> outOfLine = [.. Enumerable.Range(0, n).Where(i => seen[i] > 0 && agreeing[i] == 0)];
        int count = (int)agreeing.Sum();
        double explained = LinearColourFit.Solve(terms, AffineTerms, lit, agreeing) is double[] m && IsACamera(m)
            ? Explained(lit, LinearColourFit.Errors(terms, AffineTerms, lit, m), agreeing)
            : 0;
        explained *= count >= ChartMatch.SmallestAgreeingShare * n ? 1 : count / (ChartMatch.SmallestAgreeingShare * n);
        double[] fullyLit = [.. agreeing.Select((w, i) => shade[i] < 1 ? 0 : w)];

        // Not a chart: skip identifying its make.
        double residual = explained >= ChartMatch.SmallestExplainedShare ? Residual(measurement, reference, fullyLit) : double.PositiveInfinity;
        return new ChartMatch(explained, count, residual, outOfLine);
    }

    // Whatever its style, a camera records red mainly from red: each channel depends on its own colour more than half
    // as strongly as on the others, and by at least a tenth. Accidental grids in a grey picture do not.
    private static bool IsACamera(double[] m)
    {
        for (int c = 0; c < 3; c++)
        {
            double own = m[((c + 1) * 3) + c], first = Math.Abs(m[(((c + 1) % 3) + 1) * 3 + c]), second = Math.Abs(m[(((c + 2) % 3) + 1) * 3 + c]);
            if (own < 0.1 || own < 0.5 * Math.Max(first, second))
            {
                return false;
            }
        }

        return true;
    }

    // A shadow has a nearly straight edge and removes the same share of light everywhere behind it; since code values
    // are nearly a power of light, that is one factor on them. Of the lines across the chart, the one that explains
    // most is used.
    private static double[]? BestShade(double[] terms, double[] measured, double[] learn, ChartLayout layout)
    {
        int n = learn.Length;
        (double[]? best, double bestShare) = (null, 0);
        HashSet<long> tried = [];
        for (int direction = 0; direction < 16; direction++)
        {
            double angle = direction * Math.PI / 8, dx = Math.Cos(angle), dy = Math.Sin(angle);
            double reach = (Math.Abs(dx) * layout.Columns / 2) + (Math.Abs(dy) * layout.Rows / 2);
            for (double at = -0.1 * reach; at < reach; at += 0.4)
            {
                bool[] dark = [.. Enumerable.Range(0, n).Select(i =>
                    (dx * ((i % layout.Columns) + 0.5 - (layout.Columns / 2.0))) + (dy * ((i / layout.Columns) + 0.5 - (layout.Rows / 2.0))) > at)];
                long key = dark.Aggregate(0L, (k, d) => (2 * k) + (d ? 1 : 0));
                int count = dark.Count(d => d);
                if (count < 3 || count > n - (n / 3) || !tried.Add(key) || FitShade(terms, measured, learn, dark) is not (double factor, double share))
                {
                    continue;
                }

                if (factor is > 0.3 and < 0.93 && share > bestShare)
                {
                    (best, bestShare) = ([.. dark.Select(d => d ? factor : 1)], share);
                }
            }
        }

        return best;
    }

    // Fits the camera and the factor alternately by least squares.
    private static (double Factor, double Explained)? FitShade(double[] terms, double[] measured, double[] learn, bool[] dark)
    {
        double factor = 0.7, share = 0;
        for (int round = 0; round < 5; round++)
        {
            double f = factor;
            double[] lit = [.. measured.Select((v, i) => dark[i / 3] ? v / f : v)];
            double[] weights = [.. learn.Select((w, i) => dark[i] ? w * f * f : w)];
            if (LinearColourFit.Solve(terms, AffineTerms, lit, weights) is not double[] m)
            {
                return null;
            }

            share = Explained(lit, LinearColourFit.Errors(terms, AffineTerms, lit, m), learn);
            (double cross, double square) = (0, 0);
            for (int i = 0; i < learn.Length; i++)
            {
                for (int c = 0; dark[i] && c < 3; c++)
                {
                    double predicted = 0;
                    for (int r = 0; r < AffineTerms; r++)
                    {
                        predicted += terms[(i * AffineTerms) + r] * m[(r * 3) + c];
                    }

                    cross += learn[i] * predicted * measured[(3 * i) + c];
                    square += learn[i] * predicted * predicted;
                }
            }

            factor = square > 0 ? Math.Clamp(cross / square, 0.2, 1.2) : 1;
        }

        return (factor, share);
    }

    /// <summary>
    /// Measures a chart whose outer corners were marked, in any order: of the possible orientations, the one whose
    /// colours agree best. Null if the corners do not span a chart or no orientation agrees.
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

    /// <summary>
    /// Marks outlying patches as 'hidden' and those in a shadow as 'shaded', so that no pairs are made from them.
    /// </summary>
    public static ChartMeasurement WithoutHidden(ChartMeasurement measurement, ChartMatch match)
    {
        ArgumentNullException.ThrowIfNull(measurement);
        ArgumentNullException.ThrowIfNull(match);
        return measurement with
        {
            Patches = [.. measurement.Patches.Select(p => match.OutOfLine.Contains(p.Index) ? p with { Fault = PatchFault.Hidden }
                : match.Shaded.Contains(p.Index) && p.Fault is null ? p with { Fault = PatchFault.Shaded } : p)],
        };
    }

    /// <summary>
    /// The known colours as sRGB code values, three per patch; measured code values are nearly an affine function of
    /// them.
    /// </summary>
    internal static double[] KnownCodes(ChartReference reference) => s_known.GetValue(reference, static known =>
    {
        double[] codes = new double[known.Layout.Count * 3];
        for (int i = 0; i < known.Layout.Count; i++)
        {
            CodeRgb c = known.CodeOf(i, SignalEncoding.Srgb).Clamped();
            (codes[i * 3], codes[(i * 3) + 1], codes[(i * 3) + 2]) = (c.R, c.G, c.B);
        }

        return codes;
    });

    private static double[] Codes(ChartMeasurement measurement)
    {
        double[] codes = new double[measurement.Patches.Length * 3];
        for (int i = 0; i < measurement.Patches.Length; i++)
        {
            CodeRgb c = measurement.Patches[i].Colour;
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

    // The measured code values are mapped to the known colours by a full quadratic, and the difference is taken in
    // CIELAB. Clipped patches are inexact and left out.
    private static double Residual(ChartMeasurement measurement, ChartReference reference, double[] agreeing)
    {
        double[] known = KnownCodes(reference);
        double[] measured = Codes(measurement);
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
