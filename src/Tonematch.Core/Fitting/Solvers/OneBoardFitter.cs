using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// A chart is one board in one light. If the stiff kind's fit to it shows veiling glare, the relation between the two
/// pictures depends on the place: glare comes from the surroundings (bright ground, the board's own white), and where
/// one camera has glare, the other's local tone mapping may counteract it. The chart's patches cannot show that,
/// because they share it. So a flexible kind's result for greys on the board is not applied to the greys of the whole
/// scene; there the stiff kind, whose veil is limited to realistic lenses, is closer. Strong colours are rare in
/// scenes, and for them the chart is the only information.
/// </summary>
/// <param name="rich">The kind with the smallest error on the chart.</param>
/// <param name="stiff">The matrix with its veil.</param>
/// <param name="nodes">Nodes per side of the resulting grid.</param>
internal sealed class OneBoardFitter(KindFitter rich, KindFitter stiff, int nodes) : KindFitter
{
    // CIELAB C* up to which colours count as typical of scenes; chosen by hand, see docs/method/fitting.md.
    private const double SceneChroma = 15;

    // The stiff kind's share at grey and at strong colours on a fully veiled board.
    private const double AtGrey = 0.9;
    private const double AtStrongColours = 0.2;

    /// <summary>Below this share a grid is not worthwhile.</summary>
    public const double Least = 0.1;

    public override CorrectionKind Kind => CorrectionKind.Lattice;

    public override string? WhyNot(SampleCoverage coverage) => rich.WhyNot(coverage) ?? stiff.WhyNot(coverage);

    /// <summary>The share of the stiff kind that its estimated veil calls for, 0..1.</summary>
    public static double Veiled(Correction stiff)
    {
        double size = Math.Pow(VeilOf(stiff) / FitResult.VeilOfNote, 4);
        return size / (1 + size);
    }

    /// <summary>The difference of haze between the pictures, as a share of white.</summary>
    public static double VeilOf(Correction stiff) => stiff is MatrixCorrection { Veil: var veil }
        ? Math.Abs((0.2126 * veil.R) + (0.7152 * veil.G) + (0.0722 * veil.B))
        : 0;

    public override Fitted Fit(FitSamples samples, Fitted? near, CancellationToken cancel)
    {
        Fitted richly = rich.Fit(samples, null, cancel), stiffly = stiff.Fit(samples, null, cancel);
        double veiled = Veiled(stiffly.Correction);
        double Trust(CodeRgb secondary)
        {
            double chroma = samples.PrimaryEncoding.ToLab(stiffly.Map(secondary).Clamped()).Chroma / SceneChroma;
            return 1 - (veiled * (AtStrongColours + ((AtGrey - AtStrongColours) * Math.Exp(-chroma * chroma / 2))));
        }

        return new Fitted(
            c => MixedCorrections.Mixed(richly.Map(c), stiffly.Map(c), Trust(c)),
            () => MixedCorrections.Of(richly.Map, stiffly.Correction, Trust, nodes),
            stiffly.Parameters,
            $"{richly.HowItEnded}; from one veiled board, so {veiled:0 %} of it is pulled towards the matrix at grey");
    }
}
