namespace Tonematch.Media.Clips;

/// <summary>Applies orientations to pictures.</summary>
public static class Orientations
{
    /// <summary>Whether width and height are swapped.</summary>
    public static bool SwapsSides(this Orientation orientation) => (int)orientation >= 5;

    /// <summary>Clockwise rotation in degrees (0, 90, 180, 270), ignoring mirroring.</summary>
    public static int ClockwiseDegrees(this Orientation orientation) => orientation switch
    {
        Orientation.Turned180 or Orientation.Flipped => 180,
        Orientation.Clockwise90 or Orientation.Transversed => 90,
        Orientation.Anticlockwise90 or Orientation.Transposed => 270,
        _ => 0,
    };

    /// <summary>
    /// The orientation of a display matrix (ISO/IEC 14496-12, 6.2.2: x' = a x + c y, y' = b x + d y): only signs and
    /// the dominant pair are used, since cameras do not rotate by other angles.
    /// </summary>
    internal static Orientation OfDisplayMatrix(long a, long b, long c, long d) =>
        Math.Abs(a) + Math.Abs(d) >= Math.Abs(b) + Math.Abs(c)
            ? (a < 0, d < 0) switch
            {
                (false, false) => Orientation.Upright,
                (true, false) => Orientation.Mirrored,
                (true, true) => Orientation.Turned180,
                (false, true) => Orientation.Flipped,
            }
            : (b < 0, c < 0) switch
            {
                (false, false) => Orientation.Transposed,
                (false, true) => Orientation.Clockwise90,
                (true, true) => Orientation.Transversed,
                (true, false) => Orientation.Anticlockwise90,
            };

    /// <summary>Turns one plane upright.</summary>
    /// <param name="orientation">The orientation.</param>
    /// <param name="plane">width x height values as stored.</param>
    /// <param name="width">Stored width.</param>
    /// <param name="height">Stored height.</param>
    internal static float[] Turn(this Orientation orientation, float[] plane, int width, int height)
    {
        if (orientation == Orientation.Upright)
        {
            return plane;
        }

        float[] turned = new float[plane.Length];
        orientation.Turn(plane, turned, width, height);
        return turned;
    }

    /// <summary>Turns one plane upright into another of the same length; not for <see cref="Orientation.Upright"/>.</summary>
    internal static void Turn(this Orientation orientation, ReadOnlySpan<float> plane, Span<float> turned, int width, int height)
    {
        int outWidth = orientation.SwapsSides() ? height : width;
        // The destination of stored pixel (0,0), and the steps in the result for one pixel right and one down.
        (int start, int right, int down) = orientation switch
        {
            Orientation.Mirrored => (width - 1, -1, outWidth),
            Orientation.Turned180 => (plane.Length - 1, -1, -outWidth),
            Orientation.Flipped => ((height - 1) * outWidth, 1, -outWidth),
            Orientation.Transposed => (0, outWidth, 1),
            Orientation.Clockwise90 => (height - 1, outWidth, -1),
            Orientation.Transversed => (plane.Length - 1, -outWidth, -1),
            Orientation.Anticlockwise90 => ((width - 1) * outWidth, -outWidth, 1),
            _ => throw new ArgumentOutOfRangeException(nameof(orientation)),
        };
        // In blocks, so that source and result stay in the cache when rows become columns.
        const int block = 32;
        for (int y0 = 0; y0 < height; y0 += block)
        {
            for (int x0 = 0; x0 < width; x0 += block)
            {
                for (int y = y0; y < Math.Min(y0 + block, height); y++)
                {
                    for (int x = x0, to = start + (x0 * right) + (y * down); x < Math.Min(x0 + block, width); x++, to += right)
                    {
                        turned[to] = plane[(y * width) + x];
                    }
                }
            }
        }
    }
}
