namespace Tonematch.Media.Clips;

/// <summary>
/// How the stored picture must be turned to be upright: the eight values of EXIF 2.3 tag 0x0112 (Orientation), with the
/// same numbers.
/// </summary>
public enum Orientation
{
    /// <summary>As stored.</summary>
    Upright = 1,

    /// <summary>Mirrored left to right.</summary>
    Mirrored = 2,

    /// <summary>Turned by 180 degrees.</summary>
    Turned180 = 3,

    /// <summary>Mirrored top to bottom.</summary>
    Flipped = 4,

    /// <summary>Rows become columns (mirrored about the falling diagonal).</summary>
    Transposed = 5,

    /// <summary>To be turned clockwise by 90 degrees.</summary>
    Clockwise90 = 6,

    /// <summary>Mirrored about the rising diagonal.</summary>
    Transversed = 7,

    /// <summary>To be turned anticlockwise by 90 degrees.</summary>
    Anticlockwise90 = 8,
}
