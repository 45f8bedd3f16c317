using System.Collections.Immutable;
using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Root polynomial of degree 2 in linear light: each output is a weighted sum of r, g, b, sqrt(r g), sqrt(g b), sqrt(r
/// b). Twice the input light gives twice the output light, so it is valid at every exposure.
/// </summary>
/// <remarks>
/// G. D. Finlayson, M. Mackiewicz and A. Hurlbert, 'Color correction using root-polynomial regression', IEEE Trans. Image
/// Processing 24(5), 2015. Negative light (below black, out of gamut) has no root: it counts as 0 under the roots and
/// keeps its sign in the first three terms, so the result stays continuous.
/// </remarks>
public sealed record RootPolynomialCorrection : Correction
{
    /// <summary>The number of terms: 6.</summary>
    public const int Terms = 6;

    private static readonly string[] s_terms = ["r", "g", "b", "sqrt-rg", "sqrt-gb", "sqrt-rb"];

    /// <summary>Makes the correction.</summary>
    /// <param name="secondaryEncoding">The encoding of the input code values.</param>
    /// <param name="primaryEncoding">The encoding of the output code values.</param>
    /// <param name="weights">18 finite weights: six for red, six for green, six for blue, in the order of the terms.</param>
    /// <exception cref="ArgumentException">There are not 18 weights, or one is not finite.</exception>
    public RootPolynomialCorrection(SignalEncoding secondaryEncoding, SignalEncoding primaryEncoding, ImmutableArray<double> weights)
        : base(secondaryEncoding, primaryEncoding) =>
        Weights = !weights.IsDefault && weights.Length == 3 * Terms && weights.All(double.IsFinite)
            ? weights
            : throw new ArgumentException("A root polynomial of degree 2 has 18 finite weights.", nameof(weights));

    /// <summary>Six weights each for red, green and blue.</summary>
    public ImmutableArray<double> Weights { get; }

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.RootPolynomial;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
        [.. Weights.Select((w, i) => ($"{"rgb"[i / Terms]}.{s_terms[i % Terms]}", w))];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        Span<double> t = stackalloc double[Terms];
        Expand(LightInPrimaries(WithinReach(secondary)), t);
        Span<double> o = stackalloc double[3];
        for (int c = 0; c < 3; c++)
        {
            for (int k = 0; k < Terms; k++)
            {
                o[c] += Weights[(c * Terms) + k] * t[k];
            }
        }

        return AsFinite(PrimaryEncoding.FromScene(new SceneRgb(o[0], o[1], o[2])));
    }

    /// <summary>The six terms of a light, in order.</summary>
    internal static void Expand(SceneRgb light, Span<double> terms)
    {
        double r = Positive(light.R), g = Positive(light.G), b = Positive(light.B);
        terms[0] = light.R;
        terms[1] = light.G;
        terms[2] = light.B;
        terms[3] = Math.Sqrt(r * g);
        terms[4] = Math.Sqrt(g * b);
        terms[5] = Math.Sqrt(r * b);
    }

    // NaN must stay NaN.
    private static double Positive(double light) => light < 0 ? 0 : light;
}
