using Tonematch.Media.Clips;

namespace Tonematch.Media.Frames;

/// <summary>
/// A decoded frame as planes for a viewer that converts them itself, with all parameters of the conversion in
/// <see cref="YcbcrToRgb"/>. A value is (code * scale + offset); Y'CbCr becomes R'G'B' by Kr and Kb (Rec. ITU-T H.273,
/// 8.3), chroma interpolated linearly. Frames that are not planar Y'CbCr are given as 16-bit R'G'B', exact to a
/// hundredth of an 8-bit code.
/// </summary>
/// <param name="Width">Stored width, pixels.</param>
/// <param name="Height">Stored height, pixels.</param>
/// <param name="Orientation">How the stored picture must be turned to be upright.</param>
/// <param name="Seconds">The frame's own presentation time on the clip's time line.</param>
/// <param name="Data">The three planes one after the other, rows without padding, 16 bits little-endian where <see cref="IsWide"/>.</param>
public sealed record FramePlanes(int Width, int Height, Orientation Orientation, double Seconds, byte[] Data)
{
    /// <summary>Whether the planes are luma and two chroma; otherwise red, green, blue.</summary>
    public required bool IsYcbcr { get; init; }

    /// <summary>Whether a sample has two bytes; otherwise one.</summary>
    public required bool IsWide { get; init; }

    /// <summary>Width of the second and third plane.</summary>
    public required int ChromaWidth { get; init; }

    /// <summary>Height of the second and third plane.</summary>
    public required int ChromaHeight { get; init; }

    /// <summary>log2 of luma columns per chroma column.</summary>
    public int ChromaShiftX { get; init; }

    /// <summary>log2 of luma rows per chroma row.</summary>
    public int ChromaShiftY { get; init; }

    /// <summary>Column of the first chroma sample, in luma columns.</summary>
    public double ChromaX { get; init; }

    /// <summary>Row of the first chroma sample, in luma rows.</summary>
    public double ChromaY { get; init; }

    /// <summary>Factor of the first plane's codes (of all three for R'G'B').</summary>
    public required double Scale { get; init; }

    /// <summary>Added afterwards.</summary>
    public required double Offset { get; init; }

    /// <summary>Factor of chroma codes.</summary>
    public double ChromaScale { get; init; }

    /// <summary>Added afterwards.</summary>
    public double ChromaOffset { get; init; }

    /// <summary>Weight of red in luma.</summary>
    public double Kr { get; init; }

    /// <summary>Weight of blue in luma.</summary>
    public double Kb { get; init; }
}
