using System.Globalization;
using Tonematch.Colour;
using Tonematch.Samples;

namespace Tonematch.Luts.Tables;

/// <summary>
/// Figures that show before use whether a table will damage a picture: a reversed grey scale, amplified noise, kinks
/// that show as bands, clipped colours, folded colours.
/// </summary>
/// <remarks>
/// Neutrals and gain use node values clamped to 0..1, as on a display. The limits are common practice, chosen here;
/// they are not from a standard.
/// </remarks>
public static class LutSafety
{
    /// <summary>Largest decrease of a channel along the grey axis: half an 8-bit code.</summary>
    public const double LargestBackwardStep = 0.5 / 255;

    /// <summary>Largest local gain: noise amplified six times (2.6 stops of push).</summary>
    public const double LargestGain = 6;

    /// <summary>
    /// Largest change of slope between neighbouring cells: a square root, the steepest curve in use, has 3.3 next to
    /// black with 33 nodes.
    /// </summary>
    public const double LargestSlopeChange = 4;

    /// <summary>Largest share of the colours in the domain that may clip in a channel.</summary>
    public const double LargestClippedShare = 0.5;

    /// <summary>Largest share of the colours in the domain where the mapping may fold over.</summary>
    public const double LargestFoldedShare = 0.001;

    /// <summary>Largest mean baking error, CIEDE2000.</summary>
    public const double LargestMeanBakingError = 0.1;

    /// <summary>Largest baking error of a single colour, CIEDE2000.</summary>
    public const double LargestBakingError = 1;

    // Outputs this close to 0 or 1 count as clipped, because of float rounding of a node set to 0 or 1.
    private const double ClipMargin = 1e-6;

    /// <summary>Measures a table.</summary>
    /// <param name="lut">The table.</param>
    /// <param name="bakingError">Its difference from the exact correction, if there is one.</param>
    /// <param name="isSeen">
    /// Which colours the footage has: gain, change of slope and folding are judged there and only reported elsewhere.
    /// Null judges every colour.
    /// </param>
    /// <param name="input">What the table's input means, so that sentences can name a colour; null gives its code values only.</param>
    public static LutSafetyReport Inspect(
        Lut3D lut, LutDifference? bakingError = null, Func<CodeRgb, bool>? isSeen = null, SignalEncoding? input = null)
    {
        ArgumentNullException.ThrowIfNull(lut);
        isSeen ??= _ => true;
        Lut3D shown = LutBaker.LimitToUnitRange(lut).Lut;
        double backward = BackwardStep(shown);
        (double gain, CodeRgb gainAt) = LocalGain(shown, isSeen);
        (double slope, CodeRgb slopeAt) = SlopeChange(lut, isSeen);
        double clipped = ShareClipped(lut);
        double folded = FoldedShare(lut, isSeen);
        (double gainElsewhere, CodeRgb elsewhereAt) = LocalGain(shown, c => !isSeen(c));
        string elsewhere = gainElsewhere > LargestGain
            ? Invariant($" Around {Text(elsewhereAt)}, where the footage has no colour, it is {gainElsewhere:0.0}.")
            : "";
        List<LutFinding> findings =
        [
            new(LutProperty.BackwardNeutrals, backward, LargestBackwardStep, backward > LargestBackwardStep
                ? Invariant($"Along the grey scale a channel gets darker by {backward * 255:0.0} of 255 codes where it should get lighter: light and dark greys are swapped; use a simpler kind of correction.")
                : backward > 0
                    ? Invariant($"Along the grey scale a channel gets darker by at most {backward * 255:0.000} of 255 codes, less than can be seen.")
                    : "Along the grey scale every channel only gets lighter, as it should."),
            new(LutProperty.LocalGain, gain, LargestGain, gain > LargestGain
                ? Invariant($"Around {Text(gainAt)} differences become {gain:0.0} times as large: noise and compression blocks will show there; a simpler kind of correction shows less of them.") + elsewhere
                : Invariant($"Differences and noise become at most {gain:0.0} times as large (around {Text(gainAt)}).") + elsewhere),
            new(LutProperty.SlopeChange, slope, LargestSlopeChange, slope > LargestSlopeChange
                ? Invariant($"Around {Text(slopeAt)} the correction bends sharply (its slope changes by {slope:0.0} from one cell of the table to the next): a smooth sky or wall may show an edge there; use a finer table (--lut-size 65) or a simpler kind of correction.")
                : Invariant($"The correction bends gently (its slope changes by at most {slope:0.0} from cell to cell): no visible bands are expected.")),
            new(LutProperty.ClippedShare, clipped, LargestClippedShare, clipped > LargestClippedShare
                ? Invariant($"{clipped:0 %} of all possible colours clip in a channel: the correction brightens or saturates strongly, and highlights or deep colours beyond those that were compared may lose detail.")
                : Invariant($"Of all possible colours, including deep ones that no camera records, {clipped:0.0 %} reach the end of the range, as usual for a correction that brightens or warms.")),
            new(LutProperty.FoldedShare, folded, LargestFoldedShare, folded > LargestFoldedShare
                ? Invariant($"{folded:0.0 %} of all possible colours are folded over (different colours become the same one or swap): use a simpler kind of correction.")
                : folded > 0
                    ? Invariant($"{folded:0.000 %} of all possible colours are folded over, too few to be visible.")
                    : "No two colours swap places."),
        ];
        if (bakingError is not null)
        {
            double mean = bakingError.DeltaE.Mean, max = bakingError.DeltaE.Max;
            string figures = Invariant($"The table differs from the exact correction by {mean:0.000} on average");
            findings.Add(new(LutProperty.MeanBakingError, mean, LargestMeanBakingError, mean > LargestMeanBakingError
                ? figures + " (Delta E): use a finer table (--lut-size 65)."
                : figures + " (Delta E): not visible."));
            findings.Add(new(LutProperty.LargestBakingError, max, LargestBakingError, Invariant(
                $"The largest difference from the exact correction is {max:0.00} (Delta E, at {Text(bakingError.WorstInput)})")
                + (max > LargestBakingError ? ": visible side by side; use a finer table (--lut-size 65)." : ".")));
        }

        return new LutSafetyReport([.. findings]);

        string Text(CodeRgb code)
        {
            string values = Invariant($"{code.R:0.00} {code.G:0.00} {code.B:0.00}");
            return input is null ? values : $"{PlainColourNames.Of(input.ToLab(code))} ({values})";
        }
    }

    private static double BackwardStep(Lut3D lut)
    {
        // Eight steps per cell: tetrahedral interpolation is linear on the diagonal of a cell, but if the domain
        // differs between channels, greys lie off the diagonal.
        int steps = 8 * (lut.Size - 1);
        double low = Math.Max(lut.DomainMin.R, Math.Max(lut.DomainMin.G, lut.DomainMin.B));
        double high = Math.Min(lut.DomainMax.R, Math.Min(lut.DomainMax.G, lut.DomainMax.B));
        if (!(high > low))
        {
            return 0;
        }

        CodeRgb top = new(double.MinValue, double.MinValue, double.MinValue);
        double worst = 0;
        for (int i = 0; i <= steps; i++)
        {
            CodeRgb at = LutInterpolation.Tetrahedral(lut, CodeRgb.Grey(low + ((high - low) * i / steps)));
            top = new CodeRgb(Math.Max(top.R, at.R), Math.Max(top.G, at.G), Math.Max(top.B, at.B));
            worst = Math.Max(worst, Math.Max(top.R - at.R, Math.Max(top.G - at.G, top.B - at.B)));
        }

        // Interpolating a constant in double may give rounding differences.
        return worst < 1e-12 ? 0 : worst;
    }

    // The largest factor by which a small difference in any direction grows: the spectral norm of the Jacobian of
    // each of the six tetrahedra of each cell, where the table is exactly linear.
    private static (double Gain, CodeRgb At) LocalGain(Lut3D lut, Func<CodeRgb, bool> counts)
    {
        double worst = 0;
        CodeRgb at = default;
        ForEachTetrahedron(lut, (jacobian, input, _) =>
        {
            // The sum of squares is a cheap upper bound of the norm and is enough for most tetrahedra.
            double norm = SumOfSquares(jacobian) > worst ? SpectralNormSquared(jacobian) : 0;
            if (norm > worst && counts(input))
            {
                (worst, at) = (norm, input);
            }
        });
        return (Math.Sqrt(worst), at);
    }

    // On unclamped values: where one leaves 0..1, or stays at 0 or 1 inside the domain, the slope must change; that is
    // clipping, which is counted separately.
    private static (double Change, CodeRgb At) SlopeChange(Lut3D lut, Func<CodeRgb, bool> counts)
    {
        double worst = 0;
        CodeRgb at = default;
        int n = lut.Size;
        double spanR = (lut.DomainMax.R - lut.DomainMin.R) / (n - 1);
        double spanG = (lut.DomainMax.G - lut.DomainMin.G) / (n - 1);
        double spanB = (lut.DomainMax.B - lut.DomainMin.B) / (n - 1);
        for (int k = 0; k < n; k++)
        {
            for (int j = 0; j < n; j++)
            {
                for (int i = 0; i < n; i++)
                {
                    CodeRgb here = lut.Node(i, j, k);
                    if (i > 0 && i < n - 1)
                    {
                        Look(lut.Node(i - 1, j, k), here, lut.Node(i + 1, j, k), i == 1, i == n - 2, spanR, i, j, k);
                    }

                    if (j > 0 && j < n - 1)
                    {
                        Look(lut.Node(i, j - 1, k), here, lut.Node(i, j + 1, k), j == 1, j == n - 2, spanG, i, j, k);
                    }

                    if (k > 0 && k < n - 1)
                    {
                        Look(lut.Node(i, j, k - 1), here, lut.Node(i, j, k + 1), k == 1, k == n - 2, spanB, i, j, k);
                    }
                }
            }
        }

        return (worst, at);

        void Look(CodeRgb before, CodeRgb here, CodeRgb after, bool fromEnd, bool toEnd, double span, int i, int j, int k)
        {
            double change = Math.Max(
                Change(before.R, here.R, after.R, fromEnd, toEnd),
                Math.Max(Change(before.G, here.G, after.G, fromEnd, toEnd), Change(before.B, here.B, after.B, fromEnd, toEnd))) / span;
            if (change > worst && counts(lut.InputOf(i, j, k)))
            {
                (worst, at) = (change, lut.InputOf(i, j, k));
            }
        }

        static double Change(double before, double here, double after, bool fromEnd, bool toEnd) =>
            Clips(before, fromEnd) || Clips(here, false) || Clips(after, toEnd) ? 0 : Math.Abs(before - (2 * here) + after);

        // At the domain's ends black may be 0 and white may be 1 without clipping.
        static bool Clips(double value, bool isEnd) => isEnd ? value < -ClipMargin || value > 1 + ClipMargin : IsLimited(value);
    }

    private static double ShareClipped(Lut3D lut)
    {
        long clipped = 0;
        int cells = lut.Size - 1;
        for (int k = 0; k < cells; k++)
        {
            for (int j = 0; j < cells; j++)
            {
                for (int i = 0; i < cells; i++)
                {
                    // The middle of the cell is the middle of its diagonal.
                    CodeRgb a = lut.Node(i, j, k), b = lut.Node(i + 1, j + 1, k + 1);
                    clipped += IsLimited((a.R + b.R) / 2) || IsLimited((a.G + b.G) / 2) || IsLimited((a.B + b.B) / 2) ? 1 : 0;
                }
            }
        }

        return clipped / Math.Pow(cells, 3);
    }

    private static double FoldedShare(Lut3D lut, Func<CodeRgb, bool> counts)
    {
        // A fold must be larger than the effect of rounding a node to float on the determinant.
        const double smallest = -1e-4;
        long folded = 0, all = 0;
        ForEachTetrahedron(lut, (jacobian, input, isInside) =>
        {
            all++;
            folded += isInside && jacobian.Determinant < smallest && counts(input) ? 1 : 0;
        });
        return folded / (double)all;
    }

    private static void ForEachTetrahedron(Lut3D lut, Action<Matrix3, CodeRgb, bool> visit)
    {
        // The six paths along the corners of a cell from 000 to 111, as axes 0, 1, 2.
        ReadOnlySpan<int> orders = [0, 1, 2, 0, 2, 1, 1, 0, 2, 1, 2, 0, 2, 0, 1, 2, 1, 0];
        int cells = lut.Size - 1;
        Span<double> span =
        [
            (lut.DomainMax.R - lut.DomainMin.R) / cells,
            (lut.DomainMax.G - lut.DomainMin.G) / cells,
            (lut.DomainMax.B - lut.DomainMin.B) / cells,
        ];
        Span<CodeRgb> columns = stackalloc CodeRgb[3];
        for (int k = 0; k < cells; k++)
        {
            for (int j = 0; j < cells; j++)
            {
                for (int i = 0; i < cells; i++)
                {
                    for (int o = 0; o < orders.Length; o += 3)
                    {
                        Span<int> corner = [i, j, k];
                        CodeRgb from = lut.Node(i, j, k);
                        CodeRgb sum = from;
                        foreach (int axis in orders[o..(o + 3)])
                        {
                            corner[axis]++;
                            CodeRgb to = lut.Node(corner[0], corner[1], corner[2]);
                            columns[axis] = new CodeRgb(
                                (to.R - from.R) / span[axis], (to.G - from.G) / span[axis], (to.B - from.B) / span[axis]);
                            sum = new CodeRgb(sum.R + to.R, sum.G + to.G, sum.B + to.B);
                            from = to;
                        }

                        Matrix3 jacobian = new(
                            columns[0].R, columns[1].R, columns[2].R,
                            columns[0].G, columns[1].G, columns[2].G,
                            columns[0].B, columns[1].B, columns[2].B);
                        bool inside = !IsLimited(sum.R / 4) && !IsLimited(sum.G / 4) && !IsLimited(sum.B / 4);
                        visit(jacobian, lut.InputOf(i, j, k), inside);
                    }
                }
            }
        }
    }

    private static double SumOfSquares(Matrix3 j) =>
        (j.M11 * j.M11) + (j.M12 * j.M12) + (j.M13 * j.M13) + (j.M21 * j.M21) + (j.M22 * j.M22) + (j.M23 * j.M23)
        + (j.M31 * j.M31) + (j.M32 * j.M32) + (j.M33 * j.M33);

    // Largest eigenvalue of the symmetric matrix J^T J, in closed form (O. K. Smith, 'Eigenvalues of a symmetric 3x3
    // matrix', Communications of the ACM 4(4), 1961).
    private static double SpectralNormSquared(Matrix3 j)
    {
        double a11 = (j.M11 * j.M11) + (j.M21 * j.M21) + (j.M31 * j.M31);
        double a22 = (j.M12 * j.M12) + (j.M22 * j.M22) + (j.M32 * j.M32);
        double a33 = (j.M13 * j.M13) + (j.M23 * j.M23) + (j.M33 * j.M33);
        double a12 = (j.M11 * j.M12) + (j.M21 * j.M22) + (j.M31 * j.M32);
        double a13 = (j.M11 * j.M13) + (j.M21 * j.M23) + (j.M31 * j.M33);
        double a23 = (j.M12 * j.M13) + (j.M22 * j.M23) + (j.M32 * j.M33);
        double m = (a11 + a22 + a33) / 3;
        double b11 = a11 - m, b22 = a22 - m, b33 = a33 - m;
        double p = ((b11 * b11) + (b22 * b22) + (b33 * b33) + (2 * ((a12 * a12) + (a13 * a13) + (a23 * a23)))) / 6;
        if (p <= 0)
        {
            return m;
        }

        double q = ((b11 * ((b22 * b33) - (a23 * a23))) - (a12 * ((a12 * b33) - (a23 * a13))) + (a13 * ((a12 * a23) - (b22 * a13)))) / 2;
        double phi = Math.Acos(Math.Clamp(q / Math.Pow(p, 1.5), -1, 1)) / 3;
        return m + (2 * Math.Sqrt(p) * Math.Cos(phi));
    }

    private static bool IsLimited(double value) => value <= ClipMargin || value >= 1 - ClipMargin;

    private static string Invariant(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
