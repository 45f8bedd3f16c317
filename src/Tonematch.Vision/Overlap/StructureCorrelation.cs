using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using OpenCvSharp;

namespace Tonematch.Vision.Overlap;

/// <summary>
/// Normalised cross-correlation of a small view with a larger one at every position (J. Lewis, Fast normalized
/// cross-correlation, Vision Interface 1995, equation 2): the same as OpenCV's matchTemplate with TM_CCOEFF_NORMED,
/// which takes fifty times as long for views of a few tens of pixels because of Fourier transforms. Keeps its buffers,
/// so it is not thread-safe.
/// </summary>
internal sealed class StructureCorrelation
{
    private float[] _small = [];
    private float[] _large = [];
    private float[] _products = [];
    private double[] _sums = [];
    private double[] _squares = [];

    /// <summary>
    /// Correlations -1..1, row by row, for every position of the small view in the large one; 0 where either is
    /// uniform.
    /// </summary>
    /// <param name="large">8 bit, one channel.</param>
    /// <param name="small">The same format, no larger.</param>
    /// <exception cref="ArgumentException">It is larger.</exception>
    public double[] Of(Mat large, Mat small)
    {
        int columns = large.Width - small.Width + 1, rows = large.Height - small.Height + 1;
        if (columns < 1 || rows < 1)
        {
            throw new ArgumentException("The small view must fit into the large one.", nameof(small));
        }

        // Positions are processed in vectors; those beyond the last one are computed and ignored.
        int lanes = Vector<float>.Count, padded = (columns + lanes - 1) / lanes * lanes, stride = small.Width - 1 + padded;
        large.GetArray(out byte[] largeValues);
        small.GetArray(out byte[] smallValues);
        double spread = LoadCentred(smallValues);
        Load(largeValues, large.Width, stride);
        Multiply(small.Width, small.Height, rows, padded, stride);
        WindowSums(large.Width, large.Height, stride);
        double[] result = new double[columns * rows];
        double n = (double)small.Width * small.Height;
        int row = large.Width + 1, right = small.Width, down = small.Height * row;
        for (int y = 0; y < rows; y++)
        {
            for (int x = 0; x < columns; x++)
            {
                int at = (y * row) + x;
                double sum = _sums[at + down + right] - _sums[at + down] - _sums[at + right] + _sums[at];
                double square = _squares[at + down + right] - _squares[at + down] - _squares[at + right] + _squares[at];
                double variance = square - (sum * sum / n);
                result[(y * columns) + x] = variance > 0.5 && spread > 0.5 ? Math.Clamp(_products[(y * padded) + x] / Math.Sqrt(variance * spread), -1, 1) : 0;
            }
        }

        return result;
    }

    // The small view minus its mean, so that the large one's mean drops out of the products.
    private double LoadCentred(byte[] view)
    {
        _small = _small.Length >= view.Length ? _small : new float[view.Length];
        double sum = 0, squares = 0;
        foreach (byte v in view)
        {
            sum += v;
            squares += v * v;
        }

        float mean = (float)(sum / view.Length);
        for (int i = 0; i < view.Length; i++)
        {
            _small[i] = view[i] - mean;
        }

        return squares - (sum * sum / view.Length);
    }

    private void Load(byte[] view, int width, int stride)
    {
        int rows = view.Length / width;
        _large = _large.Length >= stride * rows ? _large : new float[stride * rows];
        for (int y = 0; y < rows; y++)
        {
            ReadOnlySpan<byte> row = view.AsSpan(y * width, width);
            Span<float> to = _large.AsSpan(y * stride, stride);
            for (int x = 0; x < width; x++)
            {
                to[x] = row[x];
            }

            to[width..].Clear();
        }
    }

    // Code with vectors of the machine's width cannot be compiled ahead of time; this makes the first compilation the
    // final one.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Multiply(int width, int height, int rows, int padded, int stride)
    {
        _products = _products.Length >= rows * padded ? _products : new float[rows * padded];
        int lanes = Vector<float>.Count;
        ref float large = ref MemoryMarshal.GetArrayDataReference(_large);
        for (int y = 0; y < rows; y++)
        {
            for (int x = 0; x < padded; x += lanes)
            {
                // Four sums, so that no addition waits for the previous one.
                Vector<float> a = Vector<float>.Zero, b = a, c = a, d = a;
                for (int v = 0; v < height; v++)
                {
                    ref float at = ref Unsafe.Add(ref large, ((y + v) * stride) + x);
                    ReadOnlySpan<float> t = _small.AsSpan(v * width, width);
                    int u = 0;
                    for (; u + 3 < t.Length; u += 4)
                    {
                        a = Vector.FusedMultiplyAdd(new Vector<float>(t[u]), Vector.LoadUnsafe(ref at, (nuint)u), a);
                        b = Vector.FusedMultiplyAdd(new Vector<float>(t[u + 1]), Vector.LoadUnsafe(ref at, (nuint)u + 1), b);
                        c = Vector.FusedMultiplyAdd(new Vector<float>(t[u + 2]), Vector.LoadUnsafe(ref at, (nuint)u + 2), c);
                        d = Vector.FusedMultiplyAdd(new Vector<float>(t[u + 3]), Vector.LoadUnsafe(ref at, (nuint)u + 3), d);
                    }

                    for (; u < t.Length; u++)
                    {
                        a = Vector.FusedMultiplyAdd(new Vector<float>(t[u]), Vector.LoadUnsafe(ref at, (nuint)u), a);
                    }
                }

                (a + b + (c + d)).CopyTo(_products, (y * padded) + x);
            }
        }
    }

    // Sums over every window from summed-area tables.
    private void WindowSums(int width, int height, int stride)
    {
        int row = width + 1, count = row * (height + 1);
        (_sums, _squares) = _sums.Length >= count ? (_sums, _squares) : (new double[count], new double[count]);
        Array.Clear(_sums, 0, row);
        Array.Clear(_squares, 0, row);
        for (int y = 0; y < height; y++)
        {
            double sum = 0, squares = 0;
            int at = (y + 1) * row;
            (_sums[at], _squares[at]) = (0, 0);
            for (int x = 0; x < width; x++)
            {
                double v = _large[(y * stride) + x];
                (sum, squares) = (sum + v, squares + (v * v));
                (_sums[at + x + 1], _squares[at + x + 1]) = (_sums[at + x + 1 - row] + sum, _squares[at + x + 1 - row] + squares);
            }
        }
    }
}
