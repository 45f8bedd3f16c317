using OpenCvSharp;
using Tonematch.Pictures;

namespace Tonematch.Vision;

/// <summary>
/// The only conversion between <see cref="Picture"/> and OpenCV's matrices. For searching only: colours are measured on
/// the picture itself, never on these 8-bit copies.
/// </summary>
internal static class PictureMat
{
    /// <summary>8-bit blue, green, red; values outside 0..1 are clamped. The caller disposes it.</summary>
    public static Mat ToBgr8(Picture picture)
    {
        using Mat b = Byte(picture, picture.B), g = Byte(picture, picture.G), r = Byte(picture, picture.R);
        Mat bgr = new();
        Cv2.Merge([b, g, r], bgr);
        return bgr;
    }

    // OpenCV rounds and clamps; NaN becomes 0.
    private static Mat Byte(Picture picture, ReadOnlySpan<float> plane)
    {
        using Mat values = new(picture.Height, picture.Width, MatType.CV_32FC1);
        plane.CopyTo(values.AsSpan<float>());
        Mat bytes = new();
        values.ConvertTo(bytes, MatType.CV_8UC1, 255);
        return bytes;
    }
}
