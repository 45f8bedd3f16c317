namespace Tonematch.Pictures;

/// <summary>Scales pictures down, for inspection and reports.</summary>
public static class PictureScale
{
    /// <summary>
    /// The picture with its longer side at most <paramref name="maxSide"/> pixels; the picture itself if it is already
    /// that small. Each new pixel is the mean of the area it covers (with fractions of pixels at the border), in code
    /// values, not in linear light: flat areas keep their value exactly, edges become slightly darker than with a lens.
    /// Not for measuring.
    /// </summary>
    /// <exception cref="ArgumentOutOfRangeException"><paramref name="maxSide"/> is below 1.</exception>
    public static Picture ToSmall(Picture picture, int maxSide)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentOutOfRangeException.ThrowIfLessThan(maxSide, 1);
        int longer = Math.Max(picture.Width, picture.Height);
        if (longer <= maxSide)
        {
            return picture;
        }

        (int width, int height) = SmallSize(picture.Width, picture.Height, maxSide);
        return new Picture(
            width, height, Shrink(picture.R, picture, width, height), Shrink(picture.G, picture, width, height), Shrink(picture.B, picture, width, height),
            picture.Encoding);
    }

    /// <summary>
    /// The size with the same aspect ratio and the longer side at most <paramref name="maxSide"/>, rounded to pixels;
    /// unchanged if already small.
    /// </summary>
    /// <param name="width">Pixels in a row, 1 or more.</param>
    /// <param name="height">Rows, 1 or more.</param>
    /// <param name="maxSide">Longest side, pixels, 1 or more.</param>
    public static (int Width, int Height) SmallSize(int width, int height, int maxSide)
    {
        double scale = Math.Min(1, (double)maxSide / Math.Max(width, height));
        return (Math.Max(1, (int)Math.Round(width * scale)), Math.Max(1, (int)Math.Round(height * scale)));
    }

    private static float[] Shrink(ReadOnlySpan<float> plane, Picture of, int width, int height)
    {
        PlaneShrinker shrinker = new(of.Width, of.Height, width, height);
        for (int y = 0; y < of.Height; y++)
        {
            shrinker.Add(plane.Slice(y * of.Width, of.Width));
        }

        return shrinker.Small;
    }
}
