namespace Tonematch.Pictures;

/// <summary>An upright box in one picture.</summary>
/// <param name="X">Centre, pixels from the left.</param>
/// <param name="Y">Centre, pixels from the top.</param>
/// <param name="Width">Width, pixels.</param>
/// <param name="Height">Height, pixels.</param>
public readonly record struct PictureBox(double X, double Y, double Width, double Height)
{
    /// <summary>The smallest box around some points.</summary>
    /// <param name="points">At least one.</param>
    public static PictureBox Around(ReadOnlySpan<PicturePoint> points)
    {
        (double left, double right) = (double.PositiveInfinity, double.NegativeInfinity);
        (double top, double bottom) = (left, right);
        foreach (PicturePoint p in points)
        {
            (left, right) = (Math.Min(left, p.X), Math.Max(right, p.X));
            (top, bottom) = (Math.Min(top, p.Y), Math.Max(bottom, p.Y));
        }

        return new PictureBox((left + right) / 2, (top + bottom) / 2, right - left, bottom - top);
    }

    /// <summary>Its four corners, clockwise from the top left.</summary>
    public PicturePoint[] Corners()
    {
        (double x, double y) = (Width / 2, Height / 2);
        return [new(X - x, Y - y), new(X + x, Y - y), new(X + x, Y + y), new(X - x, Y + y)];
    }
}
