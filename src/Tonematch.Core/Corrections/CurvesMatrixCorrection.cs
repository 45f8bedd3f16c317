using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// For cameras with their own picture styles: the secondary's style is undone, its light goes through a 3x3 matrix, and
/// the primary's style is applied. A style is a mixing of the channels on code values (saturation and hue) and an
/// increasing curve per channel.
/// </summary>
/// <remarks>
/// y = Mix2 Curve2( OETF( M OETF^-1( Curve1( Mix1 x ) ) ) ), where OETF is the encoding's own camera curve. The rows of
/// both mixings add up to 1, so greys remain greys.
/// </remarks>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
/// <param name="MixBefore">Mixing of the secondary's code values; finite.</param>
/// <param name="Before">Curves of the secondary's code values.</param>
/// <param name="Matrix">The matrix in light; finite.</param>
/// <param name="After">Curves of the primary's code values.</param>
/// <param name="MixAfter">Mixing of the primary's code values; finite.</param>
/// <exception cref="ArgumentException">A number is not finite.</exception>
public sealed record CurvesMatrixCorrection(
    SignalEncoding SecondaryEncoding,
    SignalEncoding PrimaryEncoding,
    Matrix3 MixBefore,
    ChannelCurves Before,
    Matrix3 Matrix,
    ChannelCurves After,
    Matrix3 MixAfter)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <summary>Mixing of the secondary's code values.</summary>
    public Matrix3 MixBefore { get; } = MatrixCorrection.Checked(MixBefore);

    /// <summary>The matrix in light.</summary>
    public Matrix3 Matrix { get; } = MatrixCorrection.Checked(Matrix);

    /// <summary>Mixing of the primary's code values.</summary>
    public Matrix3 MixAfter { get; } = MatrixCorrection.Checked(MixAfter);

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.CurvesMatrix;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        .. Named("mix-before", MixBefore),
        .. Before.Named("curve-before"),
        .. Named("m", Matrix),
        .. After.Named("curve-after"),
        .. Named("mix-after", MixAfter),
    ];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        CodeRgb x = WithinReach(secondary);
        (double r, double g, double b) = MixBefore.Times(x.R, x.G, x.B);
        SceneRgb light = LightInPrimaries(WithinReach(new CodeRgb(Before.R.At(r), Before.G.At(g), Before.B.At(b))));
        (r, g, b) = Matrix.Times(light.R, light.G, light.B);
        CodeRgb code = PrimaryEncoding.FromScene(new SceneRgb(r, g, b));
        (r, g, b) = MixAfter.Times(After.R.At(code.R), After.G.At(code.G), After.B.At(code.B));
        return AsFinite(new CodeRgb(r, g, b));
    }

    internal static IEnumerable<(string Name, double Value)> Named(string name, Matrix3 m) =>
    [
        (name + ".rr", m.M11), (name + ".rg", m.M12), (name + ".rb", m.M13),
        (name + ".gr", m.M21), (name + ".gg", m.M22), (name + ".gb", m.M23),
        (name + ".br", m.M31), (name + ".bg", m.M32), (name + ".bb", m.M33),
    ];
}
