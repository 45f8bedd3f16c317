using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;

namespace Tonematch.Vision.Overlap;

/// <summary>Finds the descriptors of two sets that are mutually nearest.</summary>
internal static class MutualNearest
{
    private const int Block = 64;

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
        for (int from = 0; from < m; from += Block)
        {
            // A block of the second set stays in the cache while the first set is scanned.
            int to = Math.Min(m, from + Block);
            for (int i = 0; i < n; i++)
            {
                ReadOnlySpan<float> a = first.AsSpan(i * length, length);
                ref (float Best, float Next, int At) mine = ref forth[i];
                for (int j = from; j < to; j++)
                {
                    float product = Product(a, second.AsSpan(j * length, length));
                    if (product > mine.Best)
                    {
                        mine = (product, mine.Best, j);
                    }
                    else if (product > mine.Next)
                    {
                        mine.Next = product;
                    }

                    if (product > back[j].Best)
                    {
                        back[j] = (product, i);
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
