using Tonematch.Colour;

namespace Tonematch.Corrections;

/// <summary>
/// One factor per channel on scene light: exposure and white balance (von Kries in the camera's RGB).
/// </summary>
/// <param name="SecondaryEncoding">The encoding of the input code values.</param>
/// <param name="PrimaryEncoding">The encoding of the output code values.</param>
/// <param name="R">Factor on red light, above 0.</param>
/// <param name="G">Factor on green light, above 0.</param>
/// <param name="B">Factor on blue light, above 0.</param>
public sealed record GainsCorrection(
    SignalEncoding SecondaryEncoding, SignalEncoding PrimaryEncoding, double R, double G, double B)
    : Correction(SecondaryEncoding, PrimaryEncoding)
{
    /// <inheritdoc/>
    public override CorrectionKind Kind => CorrectionKind.Gains;

    /// <inheritdoc/>
    public override IReadOnlyList<(string Name, double Value)> Numbers => [("gain.r", R), ("gain.g", G), ("gain.b", B)];

    /// <inheritdoc/>
    public override CodeRgb Apply(CodeRgb secondary)
    {
        SceneRgb light = LightInPrimaries(WithinReach(secondary));
        return AsFinite(PrimaryEncoding.FromScene(new SceneRgb(R * light.R, G * light.G, B * light.B)));
    }
}
