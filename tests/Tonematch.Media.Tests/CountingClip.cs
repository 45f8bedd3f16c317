using System.Globalization;
using System.Text.RegularExpressions;
using Tonematch.Pictures;
using Tonematch.Testing;

namespace Tonematch.Media.Tests;

/// <summary>
/// Small clips whose frames carry their own number as twelve black or white blocks, so that a test sees which frame
/// it got, whatever the codec did to it.
/// </summary>
internal static class CountingClip
{
    public const int Width = 96;
    public const int Height = 64;
    private const int Columns = 4;
    private const int Rows = 3;

    /// <summary>Makes a clip with FFmpeg.</summary>
    /// <param name="path">Where; the extension chooses the container.</param>
    /// <param name="frames">How many frames.</param>
    /// <param name="rate">Frames a second as FFmpeg takes it.</param>
    /// <param name="output">Further options: codec, filters.</param>
    public static string Make(string path, int frames, string rate, params string[] output)
    {
        byte[] raw = new byte[frames * Width * Height * 3 / 2];
        for (int n = 0; n < frames; n++)
        {
            Span<byte> frame = raw.AsSpan(n * Width * Height * 3 / 2, Width * Height * 3 / 2);
            for (int y = 0; y < Height; y++)
            {
                for (int x = 0; x < Width; x++)
                {
                    int bit = (x * Columns / Width) + (Columns * (y * Rows / Height));
                    frame[(y * Width) + x] = (n >> bit & 1) == 1 ? (byte)200 : (byte)40;
                }
            }

            frame[(Width * Height)..].Fill(128);
        }

        ExternalTool.Ffmpeg().Run(
            [
                "-v", "error", "-y", "-f", "rawvideo", "-pix_fmt", "yuv420p", "-s", string.Create(CultureInfo.InvariantCulture, $"{Width}x{Height}"),
                "-r", rate, "-i", "pipe:0", .. output, "file:" + path,
            ],
            raw);
        return path;
    }

    /// <summary>The number a frame carries.</summary>
    public static int NumberOf(Picture picture)
    {
        int number = 0;
        for (int bit = 0; bit < Columns * Rows; bit++)
        {
            int x = ((bit % Columns * 2) + 1) * picture.Width / (2 * Columns), y = ((bit / Columns * 2) + 1) * picture.Height / (2 * Rows);
            number |= picture[x, y].G > 0.5 ? 1 << bit : 0;
        }

        return number;
    }

    /// <summary>The presentation times FFmpeg finds by decoding all of it, as container seconds, rising.</summary>
    public static double[] DecodedTimes(string path)
    {
        (int code, _, string text) = ExternalTool.Ffmpeg().TryRun(
            ["-copyts", "-i", "file:" + path, "-map", "0:v:0", "-vf", "showinfo=checksum=0", .. FfmpegSpelling.PassEveryFrame, "-f", "null", "-"], [], null);
        Xunit.Assert.Equal(0, code);
        double timeBase = 1 / double.Parse(Regex.Match(text, @"config in time_base: 1/(\d+)").Groups[1].Value, CultureInfo.InvariantCulture);
        return [.. Regex.Matches(text, @" pts:\s*(-?\d+) ").Select(m => timeBase * long.Parse(m.Groups[1].Value, CultureInfo.InvariantCulture))];
    }
}
