using Tonematch.Corrections;

namespace Tonematch.Formats;

/// <summary>The formula of each kind of correction in plain text.</summary>
internal static class CorrectionFormula
{
    /// <summary>The steps in order, one per line.</summary>
    public static IReadOnlyList<string> Of(Correction correction)
    {
        if (correction is TrimmedCorrection trimmed)
        {
            return
            [
                .. Of(trimmed.Inner),
                "then the trim made by hand, on code values of camera A's encoding: strength mixes what was recorded with the result; light times 2^exposure_stops, its white moved by warmth_mired and green_duv (Bradford)",
                "a curve steeper by contrast_percent at 18 % grey through 0 and 1; distance from luma times 1 + saturation_percent / 100; black + black_percent of the distance to white; skin colours back to the match by skin_kept",
            ];
        }

        string secondary = correction.SecondaryEncoding.Name, primary = correction.PrimaryEncoding.Name;
        string toLight = $"light = {secondary} code values through the inverse of the camera curve";
        string sameLight = correction.SecondaryEncoding.Primaries == correction.PrimaryEncoding.Primaries
            ? "the same light in camera A's RGB primaries (both have the same)"
            : $"the same light in camera A's RGB primaries ({secondary} to {primary}, through XYZ)";
        string toCode = $"result = light through the camera curve of {primary}";
        string codes = correction.SecondaryEncoding == correction.PrimaryEncoding
            ? $"x = {secondary} code values, 0 to 1"
            : $"x = {secondary} code values converted to {primary} code values as seen on a display";
        return correction.Kind switch
        {
            CorrectionKind.Identity => [codes, "result = x"],
            CorrectionKind.Gains => [toLight, sameLight, "light of each channel times its gain", toCode],
            CorrectionKind.Matrix => [toLight, sameLight, "red light = m.rr red + m.rg green + m.rb blue + veil.r; green and blue in the same way", toCode],
            CorrectionKind.LiftGammaGain => [codes, "each channel: result = (lift + (gain - lift) x)^(1 / gamma); below 0 the power is applied to the absolute value, and the sign is restored"],
            CorrectionKind.Cdl => [codes, "each channel: y = limit(x slope + offset)^power, where limit clamps to 0..1", "luma = 0.2126 y.r + 0.7152 y.g + 0.0722 y.b", "result = limit(luma + saturation (y - luma))"],
            CorrectionKind.CurvesMatrix => ["a curve per channel, a 3x3 matrix, another curve per channel: accurate only in the .cube and .clf files"],
            CorrectionKind.RootPolynomial => ["a root polynomial of degree 2 in light: accurate only in the .cube and .clf files"],
            _ => ["a grid of offsets: available only in the .cube and .clf files"],
        };
    }
}
