using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Luts.Tables;

/// <summary>
/// A 3D table as a picture (Hald CLUT): at level L it is L^3 pixels wide and high and holds a table of L^2 nodes per
/// side, red fastest, then green, then blue, row by row. Any picture editor can process it.
/// </summary>
/// <remarks>
/// The layout of E. Steenberg's Hald CLUT, as FFmpeg's haldclut and haldclutsrc use it. Picture files hold integers:
/// write 16 bits, and note that values outside 0..1 are lost.
/// </remarks>
public static class HaldPicture
{
    /// <summary>Smallest level: 4 nodes per side.</summary>
    public const int MinLevel = 2;

    /// <summary>Largest level: 121 nodes per side, 1331 pixels wide.</summary>
    public const int MaxLevel = 11;

    /// <summary>The default level: 64 nodes per side, 512 pixels wide.</summary>
    public const int DefaultLevel = 8;

    /// <summary>
    /// Converts a table to a picture: its own nodes if it has level^2 nodes per side and the domain 0..1, otherwise by
    /// tetrahedral interpolation.
    /// </summary>
    /// <param name="lut">The table.</param>
    /// <param name="outputEncoding">The encoding of the table's output.</param>
    /// <param name="level">2..11.</param>
    public static Picture FromLut(Lut3D lut, SignalEncoding outputEncoding, int level = DefaultLevel)
    {
        ArgumentNullException.ThrowIfNull(lut);
        ArgumentOutOfRangeException.ThrowIfLessThan(level, MinLevel);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(level, MaxLevel);
        bool isItsOwn = lut.Size == level * level && lut.DomainMin == CodeRgb.Grey(0) && lut.DomainMax == CodeRgb.Grey(1);
        ReadOnlySpan<float> nodes = (isItsOwn ? lut : Lut3D.FromFunction(level * level, c => LutInterpolation.Tetrahedral(lut, c))).Nodes;
        int side = level * level * level;
        float[] r = new float[side * side], g = new float[side * side], b = new float[side * side];
        for (int i = 0; i < r.Length; i++)
        {
            (r[i], g[i], b[i]) = (nodes[3 * i], nodes[(3 * i) + 1], nodes[(3 * i) + 2]);
        }

        return new Picture(side, side, r, g, b, outputEncoding);
    }

    /// <summary>Reads the table from a picture.</summary>
    /// <param name="picture">A square picture of level^3 pixels per side.</param>
    /// <param name="fileName">The name for messages.</param>
    /// <exception cref="UnusableInputException">The picture's size is not that of a Hald picture.</exception>
    public static Lut3D ToLut(Picture picture, string fileName)
    {
        ArgumentNullException.ThrowIfNull(picture);
        for (int level = MinLevel; level <= MaxLevel; level++)
        {
            if (picture.Width == level * level * level && picture.Height == picture.Width)
            {
                float[] nodes = new float[3 * picture.R.Length];
                for (int i = 0; i < picture.R.Length; i++)
                {
                    (nodes[3 * i], nodes[(3 * i) + 1], nodes[(3 * i) + 2]) = (picture.R[i], picture.G[i], picture.B[i]);
                }

                return nodes.AsSpan().ContainsAnyExceptInRange(float.MinValue, float.MaxValue)
                    ? throw new UnusableInputException($"{fileName}: a pixel of the Hald picture is not a finite number.")
                    : new Lut3D(level * level, nodes);
            }
        }

        throw new UnusableInputException(
            $"{fileName}: {picture.Width} x {picture.Height} pixels are not a Hald picture; one is square with 8, 27, 64, 125, 216, 343, 512, 729, 1000 or 1331 pixels per side.");
    }
}
