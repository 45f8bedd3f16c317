using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.FramePairs;

/// <summary>Measurements of a small picture of a frame that show how suitable it is for measuring colour.</summary>
/// <param name="Seconds">The frame's own presentation time in its clip, seconds.</param>
/// <param name="IsKeyframe">Whether it can be decoded on its own, so that it is cheap to fetch again.</param>
/// <param name="Sharpness">Variance of the Laplacian of luma over the variance of luma, 0 or more: higher is sharper.
/// Comparable between frames of one clip at one size, not between clips (after Pech-Pacheco et al., ICPR 2000).</param>
/// <param name="Motion">Mean absolute luma difference from a neighbouring frame, its mean removed, in code values
/// 0..1; null without one.</param>
/// <param name="ClippedShare">Share of pixels with a channel at 0.98 or above, 0..1.</param>
/// <param name="DarkShare">Share of pixels with every channel at 0.04 or below, 0..1.</param>
/// <param name="MeanLightness">Mean L*.</param>
/// <param name="MeanA">Mean a*.</param>
/// <param name="MeanB">Mean b*.</param>
public sealed record FrameLook(
    double Seconds,
    bool IsKeyframe,
    double Sharpness,
    double? Motion,
    double ClippedShare,
    double DarkShare,
    double MeanLightness,
    double MeanA,
    double MeanB)
{
    private const float ClippedCode = 0.98f;
    private const float DarkCode = 0.04f;

    // CIELAB means use about this many pixels, which is enough for the mean of a picture.
    private const int ColourPixels = 4000;

    /// <summary>Measures a frame.</summary>
    /// <param name="small">The frame scaled down (480 pixels wide is enough), the same size for a whole clip.</param>
    /// <param name="neighbour">The frame directly before or after it, same size; null when it was not decoded.</param>
    /// <param name="seconds">The frame's presentation time, seconds.</param>
    /// <param name="isKeyframe">Whether it is a keyframe.</param>
    /// <exception cref="ArgumentException">The sizes differ, or the time is not finite.</exception>
    public static FrameLook Measure(Picture small, Picture? neighbour, double seconds, bool isKeyframe = false)
    {
        ArgumentNullException.ThrowIfNull(small);
        if (!double.IsFinite(seconds))
        {
            throw new ArgumentOutOfRangeException(nameof(seconds), seconds, "A presentation time must be a finite number of seconds.");
        }

        if (neighbour is not null && (neighbour.Width != small.Width || neighbour.Height != small.Height))
        {
            throw new ArgumentException("The neighbouring frame must have the same size.", nameof(neighbour));
        }

        float[] luma = Luma.Of(small);
        (double clipped, double dark) = Shares(small);
        Lab mean = MeanLab(small);
        return new FrameLook(
            seconds, isKeyframe, SharpnessOf(luma, small.Width, small.Height),
            neighbour is null ? null : MotionBetween(Luma.Of(neighbour), luma), clipped, dark, mean.L, mean.A, mean.B);
    }

    private static double SharpnessOf(float[] luma, int width, int height)
    {
        double sum = 0, squares = 0, laplacian = 0;
        foreach (float v in luma)
        {
            sum += v;
            squares += (double)v * v;
        }

        for (int y = 1; y + 1 < height; y++)
        {
            for (int k = (y * width) + 1; k < ((y + 1) * width) - 1; k++)
            {
                double l = (4 * luma[k]) - luma[k - 1] - luma[k + 1] - luma[k - width] - luma[k + width];
                laplacian += l * l;
            }
        }

        double variance = (squares / luma.Length) - (sum / luma.Length * (sum / luma.Length));
        double inner = Math.Max(1, (double)(width - 2) * (height - 2));

        // A flat frame has no sharpness; 1e-6 corresponds to a spread of a quarter of an 8-bit code.
        return variance > 1e-6 ? laplacian / inner / variance : 0;
    }

    private static double MotionBetween(float[] before, float[] now)
    {
        double shift = 0, sum = 0;
        for (int k = 0; k < now.Length; k++)
        {
            shift += now[k] - before[k];
        }

        shift /= now.Length;
        for (int k = 0; k < now.Length; k++)
        {
            sum += Math.Abs(now[k] - before[k] - shift);
        }

        return sum / now.Length;
    }

    private static (double Clipped, double Dark) Shares(Picture picture)
    {
        ReadOnlySpan<float> r = picture.R, g = picture.G, b = picture.B;
        int clipped = 0, dark = 0;
        for (int k = 0; k < r.Length; k++)
        {
            float most = Math.Max(r[k], Math.Max(g[k], b[k]));
            clipped += most >= ClippedCode ? 1 : 0;
            dark += most <= DarkCode ? 1 : 0;
        }

        return ((double)clipped / r.Length, (double)dark / r.Length);
    }

    private static Lab MeanLab(Picture picture)
    {
        ReadOnlySpan<float> r = picture.R, g = picture.G, b = picture.B;
        int step = Math.Max(1, r.Length / ColourPixels), count = 0;
        double l = 0, a = 0, bStar = 0;

        // An odd step, so that the chosen pixels do not form columns.
        step += step % 2 == 0 ? 1 : 0;
        for (int k = 0; k < r.Length; k += step, count++)
        {
            Lab lab = picture.Encoding.ToLab(new CodeRgb(r[k], g[k], b[k]));
            (l, a, bStar) = (l + lab.L, a + lab.A, bStar + lab.B);
        }

        return new Lab(l / count, a / count, bStar / count);
    }
}
