using SixLabors.ImageSharp;
using SixLabors.ImageSharp.Formats.Jpeg;
using SixLabors.ImageSharp.Formats.Png;
using SixLabors.ImageSharp.PixelFormats;
using Tonematch.Colour;
using Tonematch.Pictures;

namespace Tonematch.Media.Files;

/// <summary>
/// Writes the program's own pictures as PNG (8 or 16 bit) and, for reports, JPEG. Reads only files that this program
/// wrote; other pictures go through FFmpeg (<see cref="Frames.FrameReader"/>).
/// </summary>
public static class PngFile
{
    private const long MaxPixels = 200_000_000;

    /// <summary>Writes a picture; code values are clamped to 0..1 and rounded to the nearest code.</summary>
    /// <param name="path">The file.</param>
    /// <param name="picture">The picture.</param>
    /// <param name="bits">8 or 16.</param>
    /// <param name="force">Whether to overwrite an existing file.</param>
    /// <exception cref="UnusableInputException">The file cannot be written.</exception>
    public static void Write(string path, Picture picture, int bits = 16, bool force = false)
    {
        byte[] bytes = ToBytes(picture, bits);
        AtomicFile.Write(path, force, stream => stream.Write(bytes));
    }

    /// <summary>A picture as the bytes of a PNG file; code values are clamped to 0..1.</summary>
    /// <param name="picture">The picture.</param>
    /// <param name="bits">8 or 16.</param>
    public static byte[] ToBytes(Picture picture, int bits = 8)
    {
        ArgumentNullException.ThrowIfNull(picture);
        using MemoryStream stream = new();
        switch (bits)
        {
            case 8:
                using (Image<Rgb24> image = ToImage8(picture))
                {
                    image.SaveAsPng(stream, new PngEncoder { BitDepth = PngBitDepth.Bit8, ColorType = PngColorType.Rgb });
                }

                break;
            case 16:
                using (Image<Rgb48> image = ToImage16(picture))
                {
                    image.SaveAsPng(stream, new PngEncoder { BitDepth = PngBitDepth.Bit16, ColorType = PngColorType.Rgb });
                }

                break;
            default:
                throw new ArgumentOutOfRangeException(nameof(bits), bits, "A PNG is written with 8 or 16 bits.");
        }

        return stream.ToArray();
    }

    /// <summary>A picture as the bytes of a JPEG file (4:4:4, 8 bit), for reports: small, not for measuring.</summary>
    /// <param name="picture">The picture; code values are clamped to 0..1.</param>
    /// <param name="quality">1..100.</param>
    public static byte[] ToJpegBytes(Picture picture, int quality = 88)
    {
        ArgumentNullException.ThrowIfNull(picture);
        ArgumentOutOfRangeException.ThrowIfLessThan(quality, 1);
        ArgumentOutOfRangeException.ThrowIfGreaterThan(quality, 100);
        using Image<Rgb24> image = ToImage8(picture);
        using MemoryStream stream = new();
        image.SaveAsJpeg(stream, new JpegEncoder { Quality = quality, ColorType = JpegColorType.YCbCrRatio444 });
        return stream.ToArray();
    }

    /// <summary>Reads a PNG that this program wrote.</summary>
    /// <param name="path">The file.</param>
    /// <param name="encoding">What its code values mean.</param>
    /// <exception cref="UnusableInputException">It is missing, not a PNG, or too large.</exception>
    public static Picture ReadOwn(string path, SignalEncoding encoding)
    {
        ArgumentException.ThrowIfNullOrWhiteSpace(path);
        try
        {
            using FileStream stream = new(path, FileMode.Open, FileAccess.Read, FileShare.Read);
            return ReadOwn(stream, path, encoding);
        }
        catch (Exception e) when (e is IOException or UnauthorizedAccessException or NotSupportedException)
        {
            throw new UnusableInputException($"'{path}' cannot be read as a PNG of this program: {e.Message}", e);
        }
    }

    /// <summary>The same from a stream that can be read twice.</summary>
    /// <param name="stream">The stream at its beginning.</param>
    /// <param name="path">The name for messages.</param>
    /// <param name="encoding">What its code values mean.</param>
    /// <exception cref="UnusableInputException">It is not a PNG, or too large.</exception>
    public static Picture ReadOwn(Stream stream, string path, SignalEncoding encoding)
    {
        ArgumentNullException.ThrowIfNull(stream);
        ArgumentNullException.ThrowIfNull(encoding);
        try
        {
            Configuration pngOnly = new(new PngConfigurationModule());
            IImageInfo? info = Image.Identify(pngOnly, stream);
            if (info is null || (long)info.Width * info.Height > MaxPixels)
            {
                throw new UnusableInputException($"'{path}' is not a PNG of this program, or is too large.");
            }

            stream.Position = 0;
            using Image<Rgb48> image = Image.Load<Rgb48>(pngOnly, stream, new PngDecoder());
            int width = image.Width, height = image.Height;
            float[] r = new float[width * height], g = new float[width * height], b = new float[width * height];
            image.ProcessPixelRows(rows =>
            {
                for (int y = 0; y < height; y++)
                {
                    Span<Rgb48> row = rows.GetRowSpan(y);
                    for (int x = 0, i = y * width; x < width; x++, i++)
                    {
                        (r[i], g[i], b[i]) = (row[x].R / 65535f, row[x].G / 65535f, row[x].B / 65535f);
                    }
                }
            });
            return new Picture(width, height, r, g, b, encoding);
        }
        catch (Exception e) when (e is ImageFormatException or NotSupportedException)
        {
            throw new UnusableInputException($"'{path}' cannot be read as a PNG of this program: {e.Message}", e);
        }
    }

    private static Image<Rgb24> ToImage8(Picture picture)
    {
        Image<Rgb24> image = new(picture.Width, picture.Height);
        image.ProcessPixelRows(rows =>
        {
            for (int y = 0; y < picture.Height; y++)
            {
                Span<Rgb24> row = rows.GetRowSpan(y);
                for (int x = 0, i = y * picture.Width; x < row.Length; x++, i++)
                {
                    row[x] = new Rgb24((byte)Code(picture.R[i], 255), (byte)Code(picture.G[i], 255), (byte)Code(picture.B[i], 255));
                }
            }
        });
        return image;
    }

    private static Image<Rgb48> ToImage16(Picture picture)
    {
        Image<Rgb48> image = new(picture.Width, picture.Height);
        image.ProcessPixelRows(rows =>
        {
            for (int y = 0; y < picture.Height; y++)
            {
                Span<Rgb48> row = rows.GetRowSpan(y);
                for (int x = 0, i = y * picture.Width; x < row.Length; x++, i++)
                {
                    row[x] = new Rgb48((ushort)Code(picture.R[i], 65535), (ushort)Code(picture.G[i], 65535), (ushort)Code(picture.B[i], 65535));
                }
            }
        });
        return image;
    }

    // NaN becomes black through the order of the comparisons.
    private static float Code(float value, float max) => value > 0 ? MathF.Min(MathF.Round(value * max), max) : 0;
}
