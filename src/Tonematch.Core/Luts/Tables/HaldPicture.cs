using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Luts.Tables;

/// <summary>
/// A 3D table as a picture (Hald CLUT): of level L it is L^3 pixels wide and high and holds a table of L^2 nodes a side,
/// red fastest, then green, then blue, row by row. Any picture program can carry it through.
/// </summary>
/// <remarks>
/// The layout of E. Steenberg's Hald CLUT, as FFmpeg's haldclut and haldclutsrc use it. Picture files are integers: write 16 bits,
/// and mind that values outside 0..1 do not survive in one.
/// </remarks>
public static class HaldPicture
{
    /// <summary>Smallest level: 4 nodes a side.</summary>
    public const int MinLevel = 2;

    /// <summary>Largest level: 121 nodes a side, 1331 pixels wide.</summary>
    public const int MaxLevel = 11;

    /// <summary>The level when nothing is said: 64 nodes a side, 512 pixels wide.</summary>
    public const int DefaultLevel = 8;

    /// <summary>
    /// The table as a picture. Its own nodes when it has level^2 nodes a side and the domain 0..1, else read between
    /// its nodes by tetrahedral interpolation.
    /// </summary>
    /// <param name="lut">The table.</param>
    /// <param name="outputEncoding">What the table's output means.</param>
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

    /// <summary>The table in a picture.</summary>
    /// <param name="picture">A square picture of level^3 pixels a side.</param>
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
            $"{fileName}: {picture.Width} x {picture.Height} pixels are not a Hald picture; one is square with 8, 27, 64, 125, 216, 343, 512, 729, 1000 or 1331 pixels a side.");
    }
}
