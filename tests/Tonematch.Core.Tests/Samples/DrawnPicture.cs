using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Core.Tests.Samples;

/// <summary>Makes pictures by a function of the pixel.</summary>
internal static class DrawnPicture
{
    public static Picture Of(int width, int height, Func<int, int, CodeRgb> colour, SignalEncoding? encoding = null)
    {
        float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                CodeRgb c = colour(x, y);
                int i = (y * width) + x;
                (r[i], g[i], b[i]) = ((float)c.R, (float)c.G, (float)c.B);
            }
        }

        return new Picture(width, height, r, g, b, encoding ?? SignalEncoding.Srgb);
    }
}
