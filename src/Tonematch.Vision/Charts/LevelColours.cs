using OpenCvSharp;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Vision.Charts;

/// <summary>Quick colour lookup in a picture at one scale.</summary>
internal sealed class LevelColours : IDisposable
{
    private readonly Mat _smooth = new();

    public LevelColours(Mat bgr)
    {
        Cv2.Blur(bgr, _smooth, new Size(3, 3));
    }

    /// <summary>The colour at a place, 0..1; null outside the picture.</summary>
    public CodeRgb? At(PicturePoint p)
    {
        if (!(p.X >= 0 && p.Y >= 0 && p.X < _smooth.Width && p.Y < _smooth.Height))
        {
            return null;
        }

        Vec3b c = _smooth.At<Vec3b>((int)p.Y, (int)p.X);
        return new CodeRgb(c.Item2 / 255.0, c.Item1 / 255.0, c.Item0 / 255.0);
    }

    public void Dispose() => _smooth.Dispose();
}
