using System.Text;
using Tonematch.Luts.Tables;

namespace Tonematch.Formats;

/// <summary>
/// A correction as an FFmpeg filter with every conversion written out, so that FFmpeg guesses nothing.
/// </summary>
/// <remarks>
/// Measured (docs/performance.md): FFmpeg's own conversion to RGB is wrong by up to several codes, zscale to float and
/// back with ordered dither is right to half a code and shows no bands. FFmpeg must be built with zscale.
/// </remarks>
public static class FilterText
{
    // ITU-T H.273 matrix coefficients and their names in zscale.
    private static readonly Dictionary<int, string> s_matrices = new()
    {
        [1] = "709",
        [5] = "470bg",
        [6] = "170m",
        [9] = "2020_ncl",
    };

    /// <summary>The filter for a clip of Y'CbCr pixels.</summary>
    /// <param name="lutPath">The .cube file's path for FFmpeg.</param>
    /// <param name="matrixCoefficients">The clip's ITU-T H.273 code: 1 (BT.709), 5 or 6 (BT.601), 9 (BT.2020).</param>
    /// <param name="isFullRange">Whether the clip's codes use the full range.</param>
    /// <param name="pixelFormat">The pixel format of the filter's output: the clip's, or one with more bits.</param>
    /// <param name="method">The interpolation method.</param>
    /// <exception cref="ArgumentException">The matrix is not one of these, or the pixel format is not letters and digits only.</exception>
    public static string ForFfmpeg(
        string lutPath, int matrixCoefficients, bool isFullRange, string pixelFormat, LutMethod method = LutMethod.Tetrahedral)
    {
        ArgumentNullException.ThrowIfNull(lutPath);
        ArgumentException.ThrowIfNullOrEmpty(pixelFormat);
        if (!s_matrices.TryGetValue(matrixCoefficients, out string? matrix))
        {
            throw new ArgumentException($"Matrix coefficients {matrixCoefficients} are not 1, 5, 6 or 9.", nameof(matrixCoefficients));
        }

        if (!pixelFormat.All(char.IsAsciiLetterOrDigit))
        {
            throw new ArgumentException("A pixel format is letters and digits only.", nameof(pixelFormat));
        }

        string range = isFullRange ? "full" : "limited";
        return $"zscale=matrixin={matrix}:rangein={range}:matrix=gbr:range=full,format=gbrpf32le,{Lut(lutPath, method)},"
            + $"zscale=matrixin=gbr:rangein=full:matrix={matrix}:range={range}:dither=ordered,format={pixelFormat}";
    }

    /// <summary>The lut3d step alone, for a graph that is already in RGB.</summary>
    public static string Lut(string lutPath, LutMethod method = LutMethod.Tetrahedral) =>
        $"lut3d=file={Value(lutPath)}:interp={(method == LutMethod.Tetrahedral ? "tetrahedral" : "trilinear")}";

    /// <summary>
    /// Escapes text as an option's value in a filter graph: once as a value and once as part of the graph. Quotation
    /// marks around it would fail for names that contain one.
    /// </summary>
    public static string Value(string text)
    {
        ArgumentNullException.ThrowIfNull(text);
        string value = Escaped(text, @"\':");
        // White space at either end would be trimmed.
        value = value.Length > 0 && char.IsWhiteSpace(value[0]) ? @"\" + value : value;
        value = value.Length > 1 && char.IsWhiteSpace(value[^1]) ? value[..^1] + @"\" + value[^1] : value;
        return Escaped(value, @"\'[],;");
    }

    private static string Escaped(string text, string special)
    {
        StringBuilder escaped = new(text.Length + 8);
        foreach (char c in text)
        {
            if (special.Contains(c, StringComparison.Ordinal))
            {
                escaped.Append('\\');
            }

            escaped.Append(c);
        }

        return escaped.ToString();
    }
}
