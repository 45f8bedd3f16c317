using Tonematch.Colour;

namespace Tonematch.Pictures;

/// <summary>BT.709 luma of code values (ITU-R BT.709-6, item 3.2), as a measure of tone whatever their encoding.</summary>
internal static class Luma
{
    /// <summary>Of one colour.</summary>
    public static double Of(CodeRgb code) => (0.2126 * code.R) + (0.7152 * code.G) + (0.0722 * code.B);

    /// <summary>Of every pixel of a picture, row by row.</summary>
    public static float[] Of(Picture picture)
    {
        ReadOnlySpan<float> r = picture.R, g = picture.G, b = picture.B;
        float[] luma = new float[r.Length];
        for (int k = 0; k < luma.Length; k++)
        {
            luma[k] = (0.2126f * r[k]) + (0.7152f * g[k]) + (0.0722f * b[k]);
        }

        return luma;
    }
}
