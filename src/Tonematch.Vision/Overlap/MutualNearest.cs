using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Tonematch.Vision.Overlap;

/// <summary>Finds the descriptors of two sets that are mutually nearest.</summary>
internal static class MutualNearest
{
    private const int Block = 64;

    // So many of the first and second set are multiplied at a time, each loaded once for all its products.
    private const int Rows = 2;
    private const int Columns = 4;

    /// <summary>
    /// Pairs (index in the first set, index in the second) of unit-length descriptors that are mutually nearest, if the
    /// second nearest of the second set is further away by the ratio (D. Lowe's test). One pass over all products
    /// serves both directions: for unit vectors, the nearest has the largest product.
    /// </summary>
    /// <param name="first">Descriptors, one after the other.</param>
    /// <param name="second">Descriptors, one after the other.</param>
    /// <param name="length">Values per descriptor.</param>
    /// <param name="ratio">Largest ratio of the distance to that of the second nearest, 0..1.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static List<(int First, int Second)> Of(float[] first, float[] second, int length, double ratio)
    {
        int n = first.Length / length, m = second.Length / length;
        (float Best, float Next, int At)[] forth = new (float, float, int)[n];
        (float Best, int At)[] back = new (float, int)[m];
        Array.Fill(forth, (-1, -1, -1));
        Array.Fill(back, (-1, -1));
        Span<float> products = stackalloc float[Rows * Columns];
        for (int from = 0; from < m; from += Block)
        {
            // A block of the second set stays in the cache while the first set is scanned.
            int to = Math.Min(m, from + Block);
            for (int i = 0; i < n; i += Rows)
            {
                int rows = Math.Min(Rows, n - i);
                for (int j = from; j < to; j += Columns)
                {
                    int columns = Math.Min(Columns, to - j);
                    Products(first, i, rows, second, j, columns, length, products);
                    for (int r = 0; r < rows; r++)
                    {
                        ref (float Best, float Next, int At) mine = ref forth[i + r];
                        for (int c = 0; c < columns; c++)
                        {
                            float product = products[(r * Columns) + c];
                            if (product > mine.Best)
                            {
                                mine = (product, mine.Best, j + c);
                            }
                            else if (product > mine.Next)
                            {
                                mine.Next = product;
                            }

                            if (product > back[j + c].Best)
                            {
                                back[j + c] = (product, i + r);
                            }
                        }
                    }
                }
            }
        }

        List<(int, int)> pairs = [];
        for (int i = 0; i < n; i++)
        {
            (float best, float next, int at) = forth[i];
            if (m >= 2 && back[at].At == i && Distance(best) <= ratio * Distance(next))
            {
                pairs.Add((i, at));
            }
        }

        return pairs;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Products(float[] first, int i, int rows, float[] second, int j, int columns, int length, Span<float> products)
    {
        if (rows < Rows || columns < Columns || length % Vector<float>.Count != 0)
        {
            for (int r = 0; r < rows; r++)
            {
                for (int c = 0; c < columns; c++)
                {
                    products[(r * Columns) + c] = Product(first.AsSpan((i + r) * length, length), second.AsSpan((j + c) * length, length));
                }
            }

            return;
        }

        ReadOnlySpan<Vector<float>> a0 = Vectors(first, i), a1 = Vectors(first, i + 1), b0 = Vectors(second, j), b1 = Vectors(second, j + 1), b2 = Vectors(second, j + 2), b3 = Vectors(second, j + 3);
        Vector<float> s00 = Vector<float>.Zero, s01 = s00, s02 = s00, s03 = s00, s10 = s00, s11 = s00, s12 = s00, s13 = s00;
        for (int k = 0; k < a0.Length && k < a1.Length && k < b0.Length && k < b1.Length && k < b2.Length && k < b3.Length; k++)
        {
            (Vector<float> x, Vector<float> y) = (a0[k], a1[k]);
            Vector<float> b = b0[k];
            s00 += x * b;
            s10 += y * b;
            b = b1[k];
            s01 += x * b;
            s11 += y * b;
            b = b2[k];
            s02 += x * b;
            s12 += y * b;
            b = b3[k];
            s03 += x * b;
            s13 += y * b;
        }

        (products[0], products[1], products[2], products[3]) = (Vector.Sum(s00), Vector.Sum(s01), Vector.Sum(s02), Vector.Sum(s03));
        (products[4], products[5], products[6], products[7]) = (Vector.Sum(s10), Vector.Sum(s11), Vector.Sum(s12), Vector.Sum(s13));

        ReadOnlySpan<Vector<float>> Vectors(float[] all, int at) => MemoryMarshal.Cast<float, Vector<float>>(all.AsSpan(at * length, length));
    }

    /// <summary>Distance of two descriptors of unit length from their product.</summary>
    public static double Distance(float product) => Math.Sqrt(Math.Max(0, 2 - (2 * (double)product)));

    /// <summary>Scalar product.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public static float Product(ReadOnlySpan<float> a, ReadOnlySpan<float> b)
    {
        ReadOnlySpan<Vector<float>> x = MemoryMarshal.Cast<float, Vector<float>>(a), y = MemoryMarshal.Cast<float, Vector<float>>(b);
        Vector<float> s0 = Vector<float>.Zero, s1 = s0, s2 = s0, s3 = s0;
        int i = 0;
        for (; i + 3 < x.Length && i + 3 < y.Length; i += 4)
        {
            s0 += x[i] * y[i];
            s1 += x[i + 1] * y[i + 1];
            s2 += x[i + 2] * y[i + 2];
            s3 += x[i + 3] * y[i + 3];
        }

        float sum = Vector.Sum(s0 + s1 + s2 + s3);
        for (int k = i * Vector<float>.Count; k < a.Length; k++)
        {
            sum += a[k] * b[k];
        }

        return sum;
    }
}
