using Tonematch.Pictures;

namespace Tonematch.Samples;

/// <summary>
/// A place in an upright picture, in shares of its width and height, so that it is the same in the clip, in a smaller
/// copy and on a page.
/// </summary>
/// <param name="X">Centre, 0 (left) to 1 (right).</param>
/// <param name="Y">Centre, 0 (top) to 1 (bottom).</param>
/// <param name="Width">Share of the picture's width.</param>
/// <param name="Height">Share of the picture's height.</param>
public readonly record struct SamplePlace(double X, double Y, double Width, double Height)
{
    /// <summary>Converts a box in a picture to shares.</summary>
    public static SamplePlace Of(PictureBox box, Picture picture)
    {
        ArgumentNullException.ThrowIfNull(picture);
        return new(box.X / picture.Width, box.Y / picture.Height, box.Width / picture.Width, box.Height / picture.Height);
    }

    /// <summary>Converts the place to pixels of a picture.</summary>
    public PictureBox In(Picture picture)
    {
        ArgumentNullException.ThrowIfNull(picture);
        return new(X * picture.Width, Y * picture.Height, Width * picture.Width, Height * picture.Height);
    }
}
