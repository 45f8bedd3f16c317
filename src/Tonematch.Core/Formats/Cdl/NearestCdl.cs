using System.Collections.Immutable;
using Tonematch.Colour;
using Tonematch.Colour.DeltaE;
using Tonematch.Corrections;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Samples;

namespace Tonematch.Formats.Cdl;

/// <summary>The ASC CDL nearest to a correction of any kind, and its error.</summary>
/// <param name="Numbers">The CDL.</param>
/// <param name="Ordinary">
/// CIEDE2000 relative to the correction on ordinary colours, whose result has a CIELAB chroma of at most
/// <see cref="OrdinaryChroma"/>.
/// </param>
/// <param name="All">The difference from the correction over all of 0..1, including colours that hardly occur in pictures.</param>
public sealed record NearestCdl(CdlNumbers Numbers, DeltaEStatistics Ordinary, LutDifference All)
{
    /// <summary>Chroma up to which a colour counts as ordinary (common practice: most surfaces stay below).</summary>
    public const double OrdinaryChroma = 50;

    private const int FitSteps = 9, TestSteps = 14;

    /// <summary>Fits ten numbers to a correction, with most weight on ordinary colours.</summary>
    /// <param name="correction">Code values in, code values out; finite on 0..1.</param>
    /// <param name="encoding">The encoding of the output code values.</param>
    /// <param name="cancel">Stops the fit.</param>
    /// <exception cref="NoTrustworthyResultException">The correction maps everything to one colour, or to clipped ones.</exception>
    public static NearestCdl Of(Func<CodeRgb, CodeRgb> correction, SignalEncoding encoding, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(correction);
        ArgumentNullException.ThrowIfNull(encoding);
        // One group for all: there is nothing to validate, because the whole correction is known.
        ImmutableArray<SamplePair> pairs = [.. Grid(FitSteps).Select((code, i) =>
        {
            CodeRgb result = correction(code).Clamped();
            double share = encoding.ToLab(result).Chroma / OrdinaryChroma;
            return new SamplePair($"{i}", "grid", result, code) { Weight = 1 / (1 + (4 * share * share)) };
        })];
        FitResult fit = CorrectionFitting.Fit(
            new SampleSet(encoding, encoding, SamplingMethod.Given, pairs), new FitOptions { Kinds = [CorrectionKind.Cdl], NeutralWeight = 3 }, cancel);
        CdlNumbers numbers = fit.Candidates.Select(c => c.Correction).OfType<CdlCorrection>().FirstOrDefault() is { } fitted
            ? CdlNumbers.Of(fitted)
            : CdlNumbers.Identity;
        return new NearestCdl(numbers, OnOrdinary(correction, numbers, encoding), LutComparison.Compare(correction, c => numbers.Apply(c), encoding));
    }

    /// <summary>The error of these numbers relative to the correction.</summary>
    internal static DeltaEStatistics OnOrdinary(Func<CodeRgb, CodeRgb> correction, CdlNumbers numbers, SignalEncoding encoding)
    {
        List<double> deltaE = [];
        foreach (CodeRgb code in Grid(TestSteps))
        {
            Lab exact = encoding.ToLab(correction(code).Clamped());
            if (exact.Chroma <= OrdinaryChroma)
            {
                deltaE.Add(DeltaE2000.Between(exact, encoding.ToLab(numbers.Apply(code))));
            }
        }

        // Every camera correction produces greys; without any ordinary colours, use all.
        double[] all = deltaE.Count > 0 ? [.. deltaE] : [.. Grid(TestSteps).Select(c => DeltaE2000.Between(encoding.ToLab(correction(c).Clamped()), encoding.ToLab(numbers.Apply(c))))];
        return DeltaEStatistics.Of(all, [.. all.Select(_ => 1.0)]);
    }

    // Cell centres: the faces of the cube are clipped colours.
    private static IEnumerable<CodeRgb> Grid(int steps) =>
        from b in Enumerable.Range(0, steps)
        from g in Enumerable.Range(0, steps)
        from r in Enumerable.Range(0, steps)
        select new CodeRgb((r + 0.5) / steps, (g + 0.5) / steps, (b + 0.5) / steps);
}
