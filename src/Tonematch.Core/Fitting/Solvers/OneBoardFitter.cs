using Tonematch.Colour;
using Tonematch.Corrections;

namespace Tonematch.Fitting.Solvers;

/// <summary>
/// A chart is one board in one light. Where the fit of the stiff kind to it shows veiling glare, the relation of the two
/// pictures depends on the place: glare is what surrounds the board (bright ground, the board's own white), and where a camera
/// veils, the other's local tone mapping works against it. The chart's patches cannot show that, because they share it. So
/// what a rich kind makes of greys on that board is not carried to the greys of the whole scene: there the stiff kind, whose
/// veil is held to what lenses have, is nearer. Strong colours are rare in scenes, and for them the chart is all that is known.
/// </summary>
/// <param name="rich">The kind that leaves least on the chart.</param>
/// <param name="stiff">The matrix with its veil.</param>
/// <param name="nodes">Nodes a side of the grid it is written to.</param>
internal sealed class OneBoardFitter(KindFitter rich, KindFitter stiff, int nodes) : KindFitter
{
    // CIELAB C* up to which colours count as those that scenes are made of: chosen by hand, see docs/method/fitting.md.
    private const double SceneChroma = 15;

    // What is kept of the rich kind at grey and taken of the stiff one at strong colours.
    private const double AtGrey = 0.9;
    private const double AtStrongColours = 0.2;

    /// <summary>Below this share it is not worth a grid.</summary>
    public const double Least = 0.1;

    public override CorrectionKind Kind => CorrectionKind.Lattice;

    public override string? WhyNot(SampleCoverage coverage) => rich.WhyNot(coverage) ?? stiff.WhyNot(coverage);

    /// <summary>How much of the stiff kind the veil that it found calls for, 0..1.</summary>
    public static double Veiled(Correction stiff)
    {
        double size = Math.Pow(VeilOf(stiff) / FitResult.VeilOfNote, 4);
        return size / (1 + size);
    }

    /// <summary>How much more light of white lies over one picture than over the other.</summary>
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
            $"{richly.HowItEnded}; of one veiled board, so {veiled:0 %} of it is drawn towards the matrix at grey");
    }
}
