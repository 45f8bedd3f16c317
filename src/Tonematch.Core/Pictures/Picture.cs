using Tonematch.Colour;

namespace Tonematch.Pictures;

/// <summary>
/// A picture in memory: three planes of float code values, row by row from the top left, upright (rotation tags
/// already applied). 0 is black and 1 white of full-range RGB; values outside are kept.
/// </summary>
public sealed class Picture
{
    private readonly float[] _r;
    private readonly float[] _g;
    private readonly float[] _b;

    /// <summary>
    /// Takes ownership of three planes of width x height values; the caller must not change them afterwards.
    /// </summary>
    /// <exception cref="ArgumentException">A plane's length is not width x height.</exception>
    public Picture(int width, int height, float[] r, float[] g, float[] b, SignalEncoding encoding)
    {
        ArgumentOutOfRangeException.ThrowIfLessThan(width, 1);
        ArgumentOutOfRangeException.ThrowIfLessThan(height, 1);
        ArgumentNullException.ThrowIfNull(r);
        ArgumentNullException.ThrowIfNull(g);
        ArgumentNullException.ThrowIfNull(b);
        ArgumentNullException.ThrowIfNull(encoding);
        long length = (long)width * height;
        if (r.Length != length || g.Length != length || b.Length != length)
        {
            throw new ArgumentException($"Each plane must hold {width} x {height} values.");
        }

        (Width, Height, _r, _g, _b, Encoding) = (width, height, r, g, b, encoding);
    }

    /// <summary>Pixels in a row.</summary>
    public int Width { get; }

    /// <summary>Rows.</summary>
    public int Height { get; }

    /// <summary>What the code values mean.</summary>
    public SignalEncoding Encoding { get; }

    /// <summary>The red plane, Width x Height values.</summary>
    public ReadOnlySpan<float> R => _r;

    /// <summary>The green plane.</summary>
    public ReadOnlySpan<float> G => _g;

    /// <summary>The blue plane.</summary>
    public ReadOnlySpan<float> B => _b;

    /// <summary>The code values of one pixel.</summary>
    public CodeRgb this[int x, int y]
    {
        get
        {
            ArgumentOutOfRangeException.ThrowIfNegative(x);
            ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(x, Width);
            int i = (y * Width) + x;
            return new CodeRgb(_r[i], _g[i], _b[i]);
        }
    }

    /// <summary>The same planes with another encoding (for when the user knows better than the tags).</summary>
    public Picture WithEncoding(SignalEncoding encoding) => new(Width, Height, _r, _g, _b, encoding);
}
