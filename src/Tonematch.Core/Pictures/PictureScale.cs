namespace Tonematch.Pictures;

/// <summary>Makes pictures smaller, for looks and reports.</summary>
public static class PictureScale
{
    /// <summary>
    /// The picture with its longer side at most <paramref name="maxSide"/> pixels; the picture itself when it is
    /// already that small. Each new pixel is the mean of the area it covers (with fractions of pixels at the border),
    /// taken in code values, not in light: flat areas keep their value exactly, edges come out a little darker than a
    /// lens would make them. Not for measuring.
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

    /// <summary>The size with the longer side at most so many pixels and the same shape, to the pixel; as it is when small already.</summary>
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
