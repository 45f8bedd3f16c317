using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Bench.Charts;

/// <summary>Reads and writes pictures for the benches: plain 8-bit sRGB, profiles and alpha left aside.</summary>
internal static class BenchPictures
{
    public static Picture Read(string path)
    {
        using Mat bgr = Cv2.ImRead(path, ImreadModes.Color | ImreadModes.IgnoreOrientation);
        return FromMat(bgr);
    }

    public static Picture FromMat(Mat bgr)
    {
        if (!bgr.GetArray(out Vec3b[] pixels))
        {
            throw new InvalidOperationException("Not an 8-bit colour picture.");
        }

        float[] r = new float[pixels.Length], g = new float[pixels.Length], b = new float[pixels.Length];
        for (int i = 0; i < pixels.Length; i++)
        {
            (r[i], g[i], b[i]) = (pixels[i].Item2 / 255f, pixels[i].Item1 / 255f, pixels[i].Item0 / 255f);
        }

        return new Picture(bgr.Width, bgr.Height, r, g, b, SignalEncoding.Srgb);
    }
}
