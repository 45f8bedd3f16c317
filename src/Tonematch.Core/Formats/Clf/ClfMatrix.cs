using Tonematch.Colour;

namespace Tonematch.Formats.Clf;

/// <summary>A 3x3 matrix and an offset.</summary>
/// <param name="Matrix">Multiplies the column vector R, G, B.</param>
/// <param name="Offset">Added afterwards.</param>
public sealed record ClfMatrix(Matrix3 Matrix, CodeRgb Offset = default) : ClfNode
{
    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb code)
    {
        (double r, double g, double b) = Matrix.Times(code.R, code.G, code.B);
        return new CodeRgb(r + Offset.R, g + Offset.G, b + Offset.B);
    }
}
