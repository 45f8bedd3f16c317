using System.Collections.Concurrent;
using System.Numerics;
using System.Runtime.InteropServices;

namespace Tonematch.Sync;

/// <summary>
/// The discrete Fourier transform of 2^k complex points in single precision, made for correlations: the spectrum stays
/// in bit-reversed order, so nothing is ever reordered.
/// </summary>
/// <remarks>
/// Cooley and Tukey 1965; decimation in frequency forwards and in time backwards, two levels merged into one pass
/// (radix 4), recursive so that small blocks stay in the nearest cache, eight points a vector. Instances are immutable
/// and may be shared by threads.
/// </remarks>
public sealed class FourierTransform
{
    private static readonly ConcurrentDictionary<int, FourierTransform> s_bySize = new();

    // Per quarter length q: cos and sin of j, 2j and 3j quarter turns / q, six arrays one after the other.
    private readonly Dictionary<int, float[]> _twiddles = [];

    private FourierTransform(int size)
    {
        Size = size;
        int n = size;
        if (BitOperations.Log2((uint)size) % 2 == 1)
        {
            _twiddles[n] = Twiddles(n, n / 2, 1);
            n /= 2;
        }

        for (; n >= 4; n /= 4)
        {
            _twiddles[n] = Twiddles(n, n / 4, 3);
        }
    }

    /// <summary>Number of complex points, a power of two.</summary>
    public int Size { get; }

    /// <summary>The transform of <paramref name="size"/> points; made once and kept.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The size is not a power of two in 2..2^28.</exception>
    public static FourierTransform OfSize(int size)
    {
        if (size < 2 || size > 1 << 28 || !BitOperations.IsPow2(size))
        {
            throw new ArgumentOutOfRangeException(nameof(size), size, "The size must be a power of two from 2 to 2^28.");
        }

        return s_bySize.GetOrAdd(size, static n => new FourierTransform(n));
    }

    /// <summary>Where frequency <paramref name="bin"/> stands in the bit-reversed spectrum (its own inverse).</summary>
    public int PositionOf(int bin)
    {
        uint v = (uint)bin;
        v = ((v >> 1) & 0x55555555u) | ((v & 0x55555555u) << 1);
        v = ((v >> 2) & 0x33333333u) | ((v & 0x33333333u) << 2);
        v = ((v >> 4) & 0x0F0F0F0Fu) | ((v & 0x0F0F0F0Fu) << 4);
        v = System.Buffers.Binary.BinaryPrimitives.ReverseEndianness(v);
        return (int)(v >> (32 - BitOperations.Log2((uint)Size)));
    }

    /// <summary>
    /// Where the negative of the frequency at <paramref name="position"/> stands: its mirror within the block of
    /// positions 2^k .. 2^(k+1)-1; positions 0 and 1 (frequency 0 and half the rate) are their own.
    /// </summary>
    public static int MirrorOf(int position)
    {
        if (position < 2)
        {
            return position;
        }

        int block = 1 << BitOperations.Log2((uint)position);
        return (3 * block) - 1 - position;
    }

    /// <summary>Forward transform in place: sum of x[t] exp(-2 pi i f t / Size). The result is bit-reversed.</summary>
    /// <exception cref="ArgumentException">A span's length is not <see cref="Size"/>.</exception>
    public void Forward(Span<float> re, Span<float> im)
    {
        CheckLengths(re, im);
        if (BitOperations.Log2((uint)Size) % 2 == 0)
        {
            Forward4(re, im);
            return;
        }

        int half = Size / 2;
        Radix2(re, im, _twiddles[Size], forward: true);
        if (half >= 4)
        {
            Forward4(re[..half], im[..half]);
            Forward4(re[half..], im[half..]);
        }
    }

    /// <summary>Inverse transform in place, from a bit-reversed spectrum to points in order, without the factor 1 / Size.</summary>
    /// <exception cref="ArgumentException">A span's length is not <see cref="Size"/>.</exception>
    public void InverseUnscaled(Span<float> re, Span<float> im)
    {
        CheckLengths(re, im);
        if (BitOperations.Log2((uint)Size) % 2 == 0)
        {
            Inverse4(re, im);
            return;
        }

        int half = Size / 2;
        if (half >= 4)
        {
            Inverse4(re[..half], im[..half]);
            Inverse4(re[half..], im[half..]);
        }

        Radix2(re, im, _twiddles[Size], forward: false);
    }

    private void CheckLengths(Span<float> re, Span<float> im)
    {
        if (re.Length != Size || im.Length != Size)
        {
            throw new ArgumentException($"Both parts must hold {Size} values, not {re.Length} and {im.Length}.");
        }
    }

    private void Forward4(Span<float> re, Span<float> im)
    {
        ForwardPass(re, im, _twiddles[re.Length]);
        int q = re.Length / 4;
        if (q >= 4)
        {
            for (int k = 0; k < 4; k++)
            {
                Forward4(re.Slice(k * q, q), im.Slice(k * q, q));
            }
        }
    }

    private void Inverse4(Span<float> re, Span<float> im)
    {
        int q = re.Length / 4;
        if (q >= 4)
        {
            for (int k = 0; k < 4; k++)
            {
                Inverse4(re.Slice(k * q, q), im.Slice(k * q, q));
            }
        }

        InversePass(re, im, _twiddles[re.Length]);
    }

    // With W = exp(-2 pi i j / n): a+b+c+d; (a-b+c-d) W^2; (a-c - i(b-d)) W; (a-c + i(b-d)) W^3. This order of the
    // quarters is what keeps the spectrum in plain bit-reversed order.
    private static void ForwardPass(Span<float> re, Span<float> im, float[] twiddles)
    {
        int q = re.Length / 4, j = 0;
        if (q >= Vector<float>.Count)
        {
            ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
            ref float t = ref MemoryMarshal.GetArrayDataReference(twiddles);
            for (; j < q; j += Vector<float>.Count)
            {
                nuint p0 = (nuint)j, p1 = (nuint)(j + q), p2 = (nuint)(j + (2 * q)), p3 = (nuint)(j + (3 * q));
                Vector<float> ar = Vector.LoadUnsafe(ref r, p0), ai = Vector.LoadUnsafe(ref i, p0);
                Vector<float> br = Vector.LoadUnsafe(ref r, p1), bi = Vector.LoadUnsafe(ref i, p1);
                Vector<float> cr = Vector.LoadUnsafe(ref r, p2), ci = Vector.LoadUnsafe(ref i, p2);
                Vector<float> dr = Vector.LoadUnsafe(ref r, p3), di = Vector.LoadUnsafe(ref i, p3);
                Vector<float> acr = ar + cr, aci = ai + ci, bdr = br + dr, bdi = bi + di;
                Vector<float> sr = ar - cr, si = ai - ci, ur = br - dr, ui = bi - di;
                Vector.StoreUnsafe(acr + bdr, ref r, p0);
                Vector.StoreUnsafe(aci + bdi, ref i, p0);
                Vector<float> xr = acr - bdr, xi = aci - bdi;
                Vector<float> wr = Vector.LoadUnsafe(ref t, p2), wi = Vector.LoadUnsafe(ref t, p3);
                Vector.StoreUnsafe((xr * wr) - (xi * wi), ref r, p1);
                Vector.StoreUnsafe((xr * wi) + (xi * wr), ref i, p1);
                xr = sr + ui;
                xi = si - ur;
                wr = Vector.LoadUnsafe(ref t, p0);
                wi = Vector.LoadUnsafe(ref t, p1);
                Vector.StoreUnsafe((xr * wr) - (xi * wi), ref r, p2);
                Vector.StoreUnsafe((xr * wi) + (xi * wr), ref i, p2);
                xr = sr - ui;
                xi = si + ur;
                wr = Vector.LoadUnsafe(ref t, p0 + (nuint)(4 * q));
                wi = Vector.LoadUnsafe(ref t, p0 + (nuint)(5 * q));
                Vector.StoreUnsafe((xr * wr) - (xi * wi), ref r, p3);
                Vector.StoreUnsafe((xr * wi) + (xi * wr), ref i, p3);
            }
        }

        for (; j < q; j++)
        {
            float ar = re[j], ai = im[j], br = re[j + q], bi = im[j + q];
            float cr = re[j + (2 * q)], ci = im[j + (2 * q)], dr = re[j + (3 * q)], di = im[j + (3 * q)];
            re[j] = ar + cr + (br + dr);
            im[j] = ai + ci + (bi + di);
            float xr = ar + cr - (br + dr), xi = ai + ci - (bi + di);
            float wr = twiddles[(2 * q) + j], wi = twiddles[(3 * q) + j];
            re[j + q] = (xr * wr) - (xi * wi);
            im[j + q] = (xr * wi) + (xi * wr);
            xr = ar - cr + (bi - di);
            xi = ai - ci - (br - dr);
            wr = twiddles[j];
            wi = twiddles[q + j];
            re[j + (2 * q)] = (xr * wr) - (xi * wi);
            im[j + (2 * q)] = (xr * wi) + (xi * wr);
            xr = ar - cr - (bi - di);
            xi = ai - ci + (br - dr);
            wr = twiddles[(4 * q) + j];
            wi = twiddles[(5 * q) + j];
            re[j + (3 * q)] = (xr * wr) - (xi * wi);
            im[j + (3 * q)] = (xr * wi) + (xi * wr);
        }
    }

    // The forward pass undone: conjugate twiddles first, then the butterfly with +i.
    private static void InversePass(Span<float> re, Span<float> im, float[] twiddles)
    {
        int q = re.Length / 4, j = 0;
        if (q >= Vector<float>.Count)
        {
            ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
            ref float t = ref MemoryMarshal.GetArrayDataReference(twiddles);
            for (; j < q; j += Vector<float>.Count)
            {
                nuint p0 = (nuint)j, p1 = (nuint)(j + q), p2 = (nuint)(j + (2 * q)), p3 = (nuint)(j + (3 * q));
                Vector<float> ar = Vector.LoadUnsafe(ref r, p0), ai = Vector.LoadUnsafe(ref i, p0);
                Vector<float> xr = Vector.LoadUnsafe(ref r, p1), xi = Vector.LoadUnsafe(ref i, p1);
                Vector<float> wr = Vector.LoadUnsafe(ref t, p2), wi = Vector.LoadUnsafe(ref t, p3);
                Vector<float> br = (xr * wr) + (xi * wi), bi = (xi * wr) - (xr * wi);
                xr = Vector.LoadUnsafe(ref r, p2);
                xi = Vector.LoadUnsafe(ref i, p2);
                wr = Vector.LoadUnsafe(ref t, p0);
                wi = Vector.LoadUnsafe(ref t, p1);
                Vector<float> cr = (xr * wr) + (xi * wi), ci = (xi * wr) - (xr * wi);
                xr = Vector.LoadUnsafe(ref r, p3);
                xi = Vector.LoadUnsafe(ref i, p3);
                wr = Vector.LoadUnsafe(ref t, p0 + (nuint)(4 * q));
                wi = Vector.LoadUnsafe(ref t, p0 + (nuint)(5 * q));
                Vector<float> dr = (xr * wr) + (xi * wi), di = (xi * wr) - (xr * wi);
                Vector<float> abr = ar + br, abi = ai + bi, cdr = cr + dr, cdi = ci + di;
                Vector<float> sr = ar - br, si = ai - bi, ur = cr - dr, ui = ci - di;
                Vector.StoreUnsafe(abr + cdr, ref r, p0);
                Vector.StoreUnsafe(abi + cdi, ref i, p0);
                Vector.StoreUnsafe(abr - cdr, ref r, p2);
                Vector.StoreUnsafe(abi - cdi, ref i, p2);
                Vector.StoreUnsafe(sr - ui, ref r, p1);
                Vector.StoreUnsafe(si + ur, ref i, p1);
                Vector.StoreUnsafe(sr + ui, ref r, p3);
                Vector.StoreUnsafe(si - ur, ref i, p3);
            }
        }

        for (; j < q; j++)
        {
            float ar = re[j], ai = im[j];
            float xr = re[j + q], xi = im[j + q], wr = twiddles[(2 * q) + j], wi = twiddles[(3 * q) + j];
            float br = (xr * wr) + (xi * wi), bi = (xi * wr) - (xr * wi);
            (xr, xi, wr, wi) = (re[j + (2 * q)], im[j + (2 * q)], twiddles[j], twiddles[q + j]);
            float cr = (xr * wr) + (xi * wi), ci = (xi * wr) - (xr * wi);
            (xr, xi, wr, wi) = (re[j + (3 * q)], im[j + (3 * q)], twiddles[(4 * q) + j], twiddles[(5 * q) + j]);
            float dr = (xr * wr) + (xi * wi), di = (xi * wr) - (xr * wi);
            re[j] = ar + br + (cr + dr);
            im[j] = ai + bi + (ci + di);
            re[j + (2 * q)] = ar + br - (cr + dr);
            im[j + (2 * q)] = ai + bi - (ci + di);
            re[j + q] = ar - br - (ci - di);
            im[j + q] = ai - bi + (cr - dr);
            re[j + (3 * q)] = ar - br + (ci - di);
            im[j + (3 * q)] = ai - bi - (cr - dr);
        }
    }

    private static void Radix2(Span<float> re, Span<float> im, float[] twiddles, bool forward)
    {
        int half = re.Length / 2, j = 0;
        if (half >= Vector<float>.Count)
        {
            ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
            ref float t = ref MemoryMarshal.GetArrayDataReference(twiddles);
            for (; j < half; j += Vector<float>.Count)
            {
                nuint p0 = (nuint)j, p1 = (nuint)(j + half);
                Vector<float> ar = Vector.LoadUnsafe(ref r, p0), ai = Vector.LoadUnsafe(ref i, p0);
                Vector<float> br = Vector.LoadUnsafe(ref r, p1), bi = Vector.LoadUnsafe(ref i, p1);
                Vector<float> wr = Vector.LoadUnsafe(ref t, p0), wi = Vector.LoadUnsafe(ref t, p1);
                if (forward)
                {
                    Vector<float> xr = ar - br, xi = ai - bi;
                    Vector.StoreUnsafe(ar + br, ref r, p0);
                    Vector.StoreUnsafe(ai + bi, ref i, p0);
                    Vector.StoreUnsafe((xr * wr) - (xi * wi), ref r, p1);
                    Vector.StoreUnsafe((xr * wi) + (xi * wr), ref i, p1);
                }
                else
                {
                    Vector<float> xr = (br * wr) + (bi * wi), xi = (bi * wr) - (br * wi);
                    Vector.StoreUnsafe(ar + xr, ref r, p0);
                    Vector.StoreUnsafe(ai + xi, ref i, p0);
                    Vector.StoreUnsafe(ar - xr, ref r, p1);
                    Vector.StoreUnsafe(ai - xi, ref i, p1);
                }
            }
        }

        for (; j < half; j++)
        {
            float ar = re[j], ai = im[j], br = re[j + half], bi = im[j + half];
            float wr = twiddles[j], wi = twiddles[half + j];
            if (!forward)
            {
                (br, bi) = ((br * wr) + (bi * wi), (bi * wr) - (br * wi));
            }

            (float xr, float xi) = (ar - br, ai - bi);
            (re[j], im[j]) = (ar + br, ai + bi);
            (re[j + half], im[j + half]) = forward ? ((xr * wr) - (xi * wi), (xr * wi) + (xi * wr)) : (xr, xi);
        }
    }

    private static float[] Twiddles(int n, int count, int powers)
    {
        float[] t = new float[2 * count * powers];
        for (int p = 1; p <= powers; p++)
        {
            for (int j = 0; j < count; j++)
            {
                (double sin, double cos) = Math.SinCos(-2 * Math.PI * p * j / n);
                t[(2 * (p - 1) * count) + j] = (float)cos;
                t[(((2 * p) - 1) * count) + j] = (float)sin;
            }
        }

        return t;
    }
}
