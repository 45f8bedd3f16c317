using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// A 3x3 matrix on scene light plus a constant amount of light: models white balance, exposure, a change of sensor
/// primaries, and veiling glare. Glare (ISO 9358) lies evenly over a picture, so between two pictures it is one colour
/// of light, added if the primary has more of it and subtracted if the secondary has.
/// </summary>
/// <remarks>Nothing is clamped: strongly coloured light may become negative, and so may its code value.</remarks>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
/// <param name="Matrix">Rows are the primary's red, green and blue light; finite.</param>
/// <exception cref="ArgumentException">A number is not finite.</exception>
public sealed record MatrixCorrection(SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding, Matrix3 Matrix)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <summary>Rows are the primary's red, green and blue light.</summary>
    public Matrix3 Matrix { get; } = Checked(Matrix);

    /// <summary>Light added after the matrix, where white is 1; 0 if both pictures have equal veil.</summary>
    public SceneRgb Veil { get; init => field = Checked(value); }

    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.Matrix;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers =>
    [
        ("m.rr", Matrix.M11), ("m.rg", Matrix.M12), ("m.rb", Matrix.M13),
        ("m.gr", Matrix.M21), ("m.gg", Matrix.M22), ("m.gb", Matrix.M23),
        ("m.br", Matrix.M31), ("m.bg", Matrix.M32), ("m.bb", Matrix.M33),
        ("veil.r", Veil.R), ("veil.g", Veil.G), ("veil.b", Veil.B),
    ];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        SceneRgb light = LightInPrimaries(WithinReach(secondary));
        (double r, double g, double b) = Matrix.Times(light.R, light.G, light.B);
        return AsFinite(PrimaryEncoding.FromScene(new SceneRgb(r + Veil.R, g + Veil.G, b + Veil.B)));
    }

    private static SceneRgb Checked(SceneRgb veil) => double.IsFinite(veil.R + veil.G + veil.B)
        ? veil
        : throw new ArgumentException("Each number of the veil must be finite.", nameof(veil));

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
