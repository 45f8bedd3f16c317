using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Pictures;
using Tonematch.Testing;
using Xunit;

namespace Tonematch.Vision.Tests;

/// <summary>Real photographs, read as plain 8-bit sRGB.</summary>
internal static class TestPictures
{
    public static Picture Shared(string name) => Read(SharedData.Require("photos/" + name));

    public static Picture OpenCvExample(string name)
    {
        string path = "/usr/share/doc/opencv-doc/examples/data/" + name;
        Assert.SkipUnless(File.Exists(path), $"the example picture {name} of Debian's opencv-doc is not there");
        return Read(path);
    }

    public static Picture Read(string path)
    {
        Assert.SkipUnless(NativeVision.Fault is null, NativeVision.Fault ?? "");
        using Mat bgr = Cv2.ImRead(path, ImreadModes.Color | ImreadModes.IgnoreOrientation);
        return FromMat(bgr);
    }

    public static Picture FromMat(Mat bgr)
    {
        Assert.True(bgr.GetArray(out Vec3b[] pixels));
        float[] r = new float[pixels.Length], g = new float[pixels.Length], b = new float[pixels.Length];
        for (int i = 0; i < pixels.Length; i++)
        {
            (r[i], g[i], b[i]) = (pixels[i].Item2 / 255f, pixels[i].Item1 / 255f, pixels[i].Item0 / 255f);
        }

        return new Picture(bgr.Width, bgr.Height, r, g, b, SignalEncoding.Srgb);
    }
}
