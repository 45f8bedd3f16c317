using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// Maps the secondary's code values to code values like the primary's, always in this direction. Immutable; a new kind
/// is one subclass here and one fitter in <c>Fitting</c>.
/// </summary>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
public abstract record Correction(SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding)
{
    /// <summary>The kind of correction.</summary>
    public abstract CorrectionKind Kind { get; }

    /// <summary>
    /// The numbers that define this correction, each with its name ('slope.r'), in a fixed order; for match.json, for
    /// people, and for recomputation by hand. Grids list only their size.
    /// </summary>
    public abstract IReadOnlyList<(string Name, double Value)> Numbers { get; }

    /// <summary>
    /// Corrects one colour. The result is not clamped unless the kind's own published definition clamps (ASC CDL).
    /// Finite for every finite input; NaN in, NaN out.
    /// </summary>
    public abstract CodeRgb Apply(CodeRgb secondary);

    /// <summary>Corrects many colours; the spans may be the same memory.</summary>
    /// <exception cref="ArgumentException"><paramref name="corrected"/> is shorter than the input.</exception>
    public virtual void Apply(ReadOnlySpan<CodeRgb> secondary, Span<CodeRgb> corrected)
    {
        if (corrected.Length < secondary.Length)
        {
            throw new ArgumentException("The result is shorter than the input.", nameof(corrected));
        }

        for (int i = 0; i < secondary.Length; i++)
        {
            corrected[i] = Apply(secondary[i]);
        }
    }

    /// <summary>
    /// The secondary's code values converted to the primary's encoding by displayed colour (through XYZ relative to
    /// D65, to which every encoding is adapted); unchanged if the encodings are the same. Kinds that act on code values
    /// start from here.
    /// </summary>
    protected CodeRgb InPrimaryEncoding(CodeRgb secondary) => ReferenceEquals(SecondaryEncoding, PrimaryEncoding)
        ? secondary
        : PrimaryEncoding.FromXyz(SecondaryEncoding.ToXyz(secondary));

    /// <summary>
    /// The secondary's scene light in the primary's RGB primaries; unchanged if the primaries are the same. Kinds that
    /// act on light start from here.
    /// </summary>
    protected SceneRgb LightInPrimaries(CodeRgb secondary)
    {
        SceneRgb light = SecondaryEncoding.ToScene(secondary);
        if (SecondaryEncoding.Primaries == PrimaryEncoding.Primaries)
        {
            return light;
        }

        Matrix3 m = PrimaryEncoding.XyzToRgb * SecondaryEncoding.RgbToXyz;
        (double r, double g, double b) = m.Times(light.R, light.G, light.B);
        return new SceneRgb(r, g, b);
    }

    /// <summary>
    /// The input clamped to -1..1.9 per channel. No video signal goes that far (narrow range ends at -0.07 and 1.09).
    /// Beyond it the curves overflow (PQ's formula ends at 1.99), so the result keeps its value at the limit. NaN stays
    /// NaN.
    /// </summary>
    protected static CodeRgb WithinReach(CodeRgb code) =>
        new(WithinReach(code.R), WithinReach(code.G), WithinReach(code.B));

    /// <summary>The same for one channel.</summary>
    internal static double WithinReach(double code) => Math.Clamp(code, -1, 1.9);

    /// <summary>The result with an overflow replaced by the largest finite number of its sign. NaN stays NaN.</summary>
    protected static CodeRgb AsFinite(CodeRgb code) => code.IsFinite ? code : new(
        Math.Clamp(code.R, double.MinValue, double.MaxValue),
        Math.Clamp(code.G, double.MinValue, double.MaxValue),
        Math.Clamp(code.B, double.MinValue, double.MaxValue));
}
