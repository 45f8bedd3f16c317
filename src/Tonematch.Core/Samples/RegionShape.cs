using System.Collections.Immutable;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// A box or polygon in a picture whose size need not be known yet: corners as shares of its width and height when
/// none is above 1, else in pixels.
/// </summary>
public sealed record RegionShape
{
    /// <summary>Makes a shape from its corners in order.</summary>
    /// <exception cref="ArgumentException">Fewer than three corners, or one that is negative or not finite.</exception>
    public RegionShape(ImmutableArray<PicturePoint> corners)
    {
        if (corners.IsDefault || corners.Length < 3)
        {
            throw new ArgumentException("A region has at least three corners.", nameof(corners));
        }

        if (corners.Any(c => !double.IsFinite(c.X) || !double.IsFinite(c.Y) || c.X < 0 || c.Y < 0))
        {
            throw new ArgumentException("The corners of a region are numbers from 0 up.", nameof(corners));
        }

        Corners = corners;
    }

    /// <summary>The corners in order.</summary>
    public ImmutableArray<PicturePoint> Corners { get; }

    /// <summary>The corners are pixels, not shares of width and height.</summary>
    public bool InPixels => Corners.Any(c => c.X > 1 || c.Y > 1);

    /// <summary>A box. Shares or pixels by the same rule.</summary>
    /// <exception cref="ArgumentException">Width or height is not above 0, or a number is negative or not finite.</exception>
    public static RegionShape Box(double x, double y, double width, double height)
    {
        if (!(width > 0) || !(height > 0))
        {
            throw new ArgumentException("Width and height of a region must be above 0.");
        }

        return new RegionShape([new(x, y), new(x + width, y), new(x + width, y + height), new(x, y + height)]);
    }

    /// <summary>The corners in pixels of a picture of this size; parts may lie outside it.</summary>
    public PicturePoint[] In(int width, int height) => InPixels
        ? [.. Corners]
        : [.. Corners.Select(c => new PicturePoint(c.X * width, c.Y * height))];

    /// <summary>The same shape in a picture so many times as large; shares stay as they are.</summary>
    public RegionShape Scaled(double factor) => InPixels ? new RegionShape([.. Corners.Select(c => new PicturePoint(c.X * factor, c.Y * factor))]) : this;
}
