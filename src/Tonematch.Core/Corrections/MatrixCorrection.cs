using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>A 3x3 matrix on scene light: what white balance, exposure and a change of sensor primaries are.</summary>
/// <remarks>Nothing is clamped: strongly coloured light may come out negative, and its code value with it.</remarks>
/// <param name="SecondaryEncoding">What the code values that go in mean.</param>
/// <param name="PrimaryEncoding">What the code values that come out mean.</param>
/// <param name="Matrix">Rows are the primary's red, green and blue light; finite.</param>
/// <exception cref="ArgumentException">A number is not finite.</exception>
public sealed record MatrixCorrection(SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding, Matrix3 Matrix)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <summary>Rows are the primary's red, green and blue light.</summary>
    public Matrix3 Matrix { get; } = Checked(Matrix);

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.Matrix;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        ("m.rr", Matrix.M11), ("m.rg", Matrix.M12), ("m.rb", Matrix.M13),
        ("m.gr", Matrix.M21), ("m.gg", Matrix.M22), ("m.gb", Matrix.M23),
        ("m.br", Matrix.M31), ("m.bg", Matrix.M32), ("m.bb", Matrix.M33),
    ];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        SceneRgb light = LightInPrimaries(WithinReach(secondary));
        (double r, double g, double b) = Matrix.Times(light.R, light.G, light.B);
        return AsFinite(PrimaryEncoding.FromScene(new SceneRgb(r, g, b)));
    }

    internal static Matrix3 Checked(Matrix3 m)
    {
        ReadOnlySpan<double> all = [m.M11, m.M12, m.M13, m.M21, m.M22, m.M23, m.M31, m.M32, m.M33];
        foreach (double v in all)
        {
            if (!double.IsFinite(v))
            {
                throw new ArgumentException($"Each number of the matrix must be finite, not {v}.", nameof(m));
            }
        }

        return m;
    }
}
