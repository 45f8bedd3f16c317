using System.Collections.Immutable;
using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// A box or polygon in a picture whose size may still be unknown: corners are shares of its width and height if none is
/// above 1, otherwise pixels.
/// </summary>
public sealed record RegionShape
{
    /// <summary>Makes a shape from its corners in order.</summary>
    /// <exception cref="ArgumentException">Fewer than three corners, or one that is negative or not finite.</exception>
    public RegionShape(ImmutableArray<PicturePoint> corners)
        : this(corners, !corners.IsDefault && corners.Any(c => c.X > 1 || c.Y > 1))
    {
    }

    private RegionShape(ImmutableArray<PicturePoint> corners, bool inPixels)
    {
        if (corners.IsDefault || corners.Length < 3)
        {
            throw new ArgumentException("A region has at least three corners.", nameof(corners));
        }

        if (corners.Any(c => !double.IsFinite(c.X) || !double.IsFinite(c.Y) || c.X < 0 || c.Y < 0))
        {
            throw new ArgumentException("The corners of a region are numbers from 0 up.", nameof(corners));
        }

        (Corners, InPixels) = (corners, inPixels);
    }

    /// <summary>The corners in order.</summary>
    public ImmutableArray<PicturePoint> Corners { get; }

    /// <summary>Whether the corners are in pixels, not shares of width and height.</summary>
    public bool InPixels { get; }

    /// <summary>Makes a box, in shares or pixels by the same rule.</summary>
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

    /// <summary>The same shape in shares of a picture of this size; parts outside it are above 1.</summary>
    /// <param name="width">Pixels per row of the picture to which pixel values refer, 1 or more.</param>
    /// <param name="height">Its rows, 1 or more.</param>
    public RegionShape InShares(int width, int height)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        return InPixels ? new RegionShape([.. Corners.Select(c => new PicturePoint(c.X / width, c.Y / height))], inPixels: false) : this;
    }
}
