using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using OpenCvSharp;

namespace Tonematch.Vision.Charts;

/// <summary>
/// For each pixel, the largest step within 3 x 3 pixels (the morphological gradient, maximum minus minimum) and the
/// largest value, over the three channels, in one pass where OpenCV needs eight.
/// </summary>
internal static class ColourSteps
{
    /// <summary>
    /// Computes both for a picture with 8-bit channels; pixels beyond its border do not count. The caller disposes
    /// both.
    /// </summary>
    public static (Mat Steepest, Mat Brightest) Of(Mat bgr)
    {
        int width = bgr.Width, height = bgr.Height;
        Mat steepest = new(height, width, MatType.CV_8UC1, Scalar.Black), brightest = new(height, width, MatType.CV_8UC1, Scalar.Black);
        byte[] high = new byte[width + 2], low = new byte[width + 2];
        foreach (Mat channel in Cv2.Split(bgr))
        {
            ReadOnlySpan<byte> plane = channel.AsSpan<byte>();
            for (int y = 0; y < height; y++)
            {
                ReadOnlySpan<byte> above = plane.Slice(Math.Max(0, y - 1) * width, width), here = plane.Slice(y * width, width);
                ReadOnlySpan<byte> below = plane.Slice(Math.Min(height - 1, y + 1) * width, width);
                Rows(above, here, below, high.AsSpan(1, width), low.AsSpan(1, width));
                (high[0], high[^1], low[0], low[^1]) = (high[1], high[^2], low[1], low[^2]);
                Columns(high, low, here, steepest.AsSpan<byte>().Slice(y * width, width), brightest.AsSpan<byte>().Slice(y * width, width));
            }

            channel.Dispose();
        }

        return (steepest, brightest);
    }

    // Code with vectors of the machine's width cannot be compiled ahead of time; this makes the first compilation the
    // final one.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Rows(ReadOnlySpan<byte> above, ReadOnlySpan<byte> here, ReadOnlySpan<byte> below, Span<byte> high, Span<byte> low)
    {
        int x = 0;
        for (; x <= here.Length - Vector<byte>.Count; x += Vector<byte>.Count)
        {
            Vector<byte> a = new(above[x..]), b = new(here[x..]), c = new(below[x..]);
            Vector.Max(Vector.Max(a, b), c).CopyTo(high[x..]);
            Vector.Min(Vector.Min(a, b), c).CopyTo(low[x..]);
        }

        for (; x < here.Length; x++)
        {
            high[x] = Math.Max(Math.Max(above[x], here[x]), below[x]);
            low[x] = Math.Min(Math.Min(above[x], here[x]), below[x]);
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Columns(byte[] high, byte[] low, ReadOnlySpan<byte> here, Span<byte> steepest, Span<byte> brightest)
    {
        int x = 0;
        ref byte h = ref MemoryMarshal.GetArrayDataReference(high);
        ref byte l = ref MemoryMarshal.GetArrayDataReference(low);
        for (; x <= here.Length - Vector<byte>.Count; x += Vector<byte>.Count)
        {
            nuint i = (nuint)x;
            Vector<byte> largest = Vector.Max(Vector.Max(Vector.LoadUnsafe(ref h, i), Vector.LoadUnsafe(ref h, i + 1)), Vector.LoadUnsafe(ref h, i + 2));
            Vector<byte> smallest = Vector.Min(Vector.Min(Vector.LoadUnsafe(ref l, i), Vector.LoadUnsafe(ref l, i + 1)), Vector.LoadUnsafe(ref l, i + 2));
            Vector.Max(largest - smallest, new Vector<byte>(steepest[x..])).CopyTo(steepest[x..]);
            Vector.Max(new Vector<byte>(here[x..]), new Vector<byte>(brightest[x..])).CopyTo(brightest[x..]);
        }

        for (; x < here.Length; x++)
        {
            int largest = Math.Max(Math.Max(high[x], high[x + 1]), high[x + 2]), smallest = Math.Min(Math.Min(low[x], low[x + 1]), low[x + 2]);
            steepest[x] = (byte)Math.Max(largest - smallest, steepest[x]);
            brightest[x] = Math.Max(here[x], brightest[x]);
        }
    }
}
