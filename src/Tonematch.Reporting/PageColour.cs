using System.Globalization;
using Tonematch.Colour;
using Tonematch.Media.Files;
using Tonematch.Pictures;

namespace Tonematch.Reporting;

/// <summary>
/// Colours as a page shows them: the colours of the encoding's display, converted to sRGB and clamped. Wide gamut and
/// HDR lose what sRGB cannot show; the figures beside them do not.
/// </summary>
internal static class PageColour
{
    /// <summary>'#rrggbb'.</summary>
    public static string Hex(CodeRgb code, SignalEncoding encoding)
    {
        CodeRgb s = ToSrgb(code, encoding);
        return string.Create(CultureInfo.InvariantCulture, $"#{Byte(s.R):x2}{Byte(s.G):x2}{Byte(s.B):x2}");
    }

    /// <summary>A picture as a JPEG data URI, its longer side at most <paramref name="side"/> pixels.</summary>
    public static string Jpeg(Picture picture, int side) =>
        "data:image/jpeg;base64," + Convert.ToBase64String(PngFile.ToJpegBytes(ToSrgb(PictureScale.ToSmall(picture, side)), 86));

    /// <summary>The picture in sRGB.</summary>
    public static Picture ToSrgb(Picture picture)
    {
        SignalEncoding from = picture.Encoding;
        if (from == SignalEncoding.Srgb)
        {
            return picture;
        }

        int n = picture.Width * picture.Height;
        float[] r = new float[n], g = new float[n], b = new float[n];
        if (from == SignalEncoding.Bt709)
        {
            // With the same primaries and one curve for all channels, a table of 4096 steps is finer than 8-bit output.
            float[] table = [.. Enumerable.Range(0, 4097).Select(i => (float)TransferFunctions.SrgbFromLinear(TransferFunctions.Bt1886ToDisplay(i / 4096.0)))];
            Map(picture.R, r, table);
            Map(picture.G, g, table);
            Map(picture.B, b, table);
        }
        else
        {
            for (int i = 0; i < n; i++)
            {
                CodeRgb s = ToSrgb(new CodeRgb(picture.R[i], picture.G[i], picture.B[i]), from);
                (r[i], g[i], b[i]) = ((float)s.R, (float)s.G, (float)s.B);
            }
        }

        return new Picture(picture.Width, picture.Height, r, g, b, SignalEncoding.Srgb);
    }

    private static CodeRgb ToSrgb(CodeRgb code, SignalEncoding encoding) =>
        code.IsFinite ? SignalEncoding.Srgb.FromXyz(encoding.ToXyz(code)).Clamped() : CodeRgb.Grey(0.5);

    private static void Map(ReadOnlySpan<float> from, float[] to, float[] table)
    {
        for (int i = 0; i < to.Length; i++)
        {
            float x = from[i];
            to[i] = table[x > 0 ? (int)MathF.Min((x * 4096) + 0.5f, 4096) : 0];
        }
    }

    private static int Byte(double value) => (int)Math.Round(value * 255);
}
