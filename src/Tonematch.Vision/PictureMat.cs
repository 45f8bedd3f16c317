using OpenCvSharp;
using Tonematch.Pictures;

namespace Tonematch.Vision;

/// <summary>
/// The one door between <see cref="Picture"/> and OpenCV's matrices. Only for finding things: colours are measured on
/// the picture itself, never on these 8-bit copies.
/// </summary>
internal static class PictureMat
{
    /// <summary>8-bit blue, green, red; values outside 0..1 are cut. The caller disposes it.</summary>
    public static Mat ToBgr8(Picture picture)
    {
        byte[] bgr = new byte[checked(picture.Width * picture.Height * 3)];
        ReadOnlySpan<float> r = picture.R, g = picture.G, b = picture.B;
        for (int i = 0, o = 0; i < r.Length; i++, o += 3)
        {
            bgr[o] = Byte(b[i]);
            bgr[o + 1] = Byte(g[i]);
            bgr[o + 2] = Byte(r[i]);
        }

        return Mat.FromPixelData(picture.Height, picture.Width, MatType.CV_8UC3, bgr).Clone();
    }

    // The order of Min and Max turns NaN into 0.
    private static byte Byte(float v) => (byte)((255 * MathF.Max(0, MathF.Min(v, 1))) + 0.5f);
}
