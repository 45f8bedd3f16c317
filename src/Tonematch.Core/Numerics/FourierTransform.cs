using System.Collections.Concurrent;
using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Numerics;

/// <summary>
/// The discrete Fourier transform of 2^k complex points in single precision, made for correlations: the spectrum stays
/// in bit-reversed order, so nothing is ever reordered.
/// </summary>
/// <remarks>
/// Cooley and Tukey 1965; decimation in frequency forwards and in time backwards, two levels merged into one pass
/// (radix 4), recursive so that small blocks stay in the nearest cache, eight points a vector, the last sixteen points
/// within two registers. The inner passes are compiled at their best at once: a run is too short to be optimised on the
/// way. Instances are immutable and may be shared by threads.
/// </remarks>
public sealed class FourierTransform
{
    private static readonly ConcurrentDictionary<int, FourierTransform> s_bySize = new();

    // At log2 of a block's length, with its quarter q: cos and sin of j, 2j and 3j quarter turns / q, one after the other.
    private readonly float[][] _twiddles = new float[29][];

    // Cos and sin of the first half of the frequencies, in bit-reversed order: half a turn for half the points.
    private readonly Lazy<(float[] Cos, float[] Sin)> _halving;

    private FourierTransform(int size)
    {
        Size = size;
        int n = size;
        if (BitOperations.Log2((uint)size) % 2 == 1)
        {
            _twiddles[BitOperations.Log2((uint)n)] = Twiddles(n, n / 2, 1);
            n /= 2;
        }

        for (; n >= 4; n /= 4)
        {
            _twiddles[BitOperations.Log2((uint)n)] = Twiddles(n, n / 4, 3);
        }

        _halving = new(Halving);
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
        Radix2(re, im, TwiddlesOf(Size), forward: true);
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

        Radix2(re, im, TwiddlesOf(Size), forward: false);
    }

    /// <summary>
    /// Inverse transform of a bit-reversed spectrum whose points are real, at half the cost: without the factor
    /// 1 / Size, even points in order in the first half of <paramref name="re"/>, odd ones in that of
    /// <paramref name="im"/>. The second halves are left as they fall.
    /// </summary>
    /// <remarks>The points 2t and 2t+1 as one complex point of a transform of half the size.</remarks>
    /// <exception cref="ArgumentException">A span's length is not <see cref="Size"/>.</exception>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void InverseRealUnscaled(Span<float> re, Span<float> im)
    {
        CheckLengths(re, im);
        (float[] cosines, float[] sines) = _halving.Value;
        int half = Size / 2, p = 0;
        if (Vector256.IsHardwareAccelerated)
        {
            ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
            ref float c = ref MemoryMarshal.GetArrayDataReference(cosines), s = ref MemoryMarshal.GetArrayDataReference(sines);
            for (; p + Vector256<float>.Count <= half; p += Vector256<float>.Count)
            {
                // A frequency below half the rate and the one half the rate above it stand side by side.
                (Vector256<float> lowRe, Vector256<float> highRe) = Apart(ref r, 2 * p);
                (Vector256<float> lowIm, Vector256<float> highIm) = Apart(ref i, 2 * p);
                Vector256<float> cos = Vector256.LoadUnsafe(ref c, (nuint)p), sin = Vector256.LoadUnsafe(ref s, (nuint)p);
                Vector256<float> dr = lowRe - highRe, di = lowIm - highIm;
                Vector256.StoreUnsafe(lowRe + highRe - ((dr * sin) + (di * cos)), ref r, (nuint)p);
                Vector256.StoreUnsafe(lowIm + highIm + ((dr * cos) - (di * sin)), ref i, (nuint)p);
            }
        }

        for (; p < half; p++)
        {
            float dr = re[2 * p] - re[(2 * p) + 1], di = im[2 * p] - im[(2 * p) + 1];
            re[p] = re[2 * p] + re[(2 * p) + 1] - ((dr * sines[p]) + (di * cosines[p]));
            im[p] = im[2 * p] + im[(2 * p) + 1] + ((dr * cosines[p]) - (di * sines[p]));
        }

        if (half >= 2)
        {
            OfSize(half).InverseUnscaled(re[..half], im[..half]);
        }

        static (Vector256<float> Even, Vector256<float> Odd) Apart(ref float values, int at)
        {
            Vector256<int> order = Vector256.Create(0, 2, 4, 6, 1, 3, 5, 7);
            Vector256<float> a = Vector256.Shuffle(Vector256.LoadUnsafe(ref values, (nuint)at), order);
            Vector256<float> b = Vector256.Shuffle(Vector256.LoadUnsafe(ref values, (nuint)at + 8), order);
            return (Vector256.Create(a.GetLower(), b.GetLower()), Vector256.Create(a.GetUpper(), b.GetUpper()));
        }
    }

    private float[] TwiddlesOf(int length) => _twiddles[BitOperations.Log2((uint)length)];

    private (float[] Cos, float[] Sin) Halving()
    {
        float[] cosines = new float[Size / 2], sines = new float[Size / 2];
        for (int bin = 0; bin < Size / 2; bin++)
        {
            (double sin, double cos) = Math.SinCos(2 * Math.PI * bin / Size);
            int p = PositionOf(bin) / 2;
            (cosines[p], sines[p]) = ((float)cos, (float)sin);
        }

        return (cosines, sines);
    }

    private void CheckLengths(Span<float> re, Span<float> im)
    {
        if (re.Length != Size || im.Length != Size)
        {
            throw new ArgumentException($"Both parts must hold {Size} values, not {re.Length} and {im.Length}.");
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Forward4(Span<float> re, Span<float> im)
    {
        if (re.Length == 16 && Vector256.IsHardwareAccelerated)
        {
            Forward16(ref MemoryMarshal.GetReference(re), ref MemoryMarshal.GetReference(im));
            return;
        }

        ForwardPass(re, im, TwiddlesOf(re.Length));
        int q = re.Length / 4;
        if (q >= 4)
        {
            for (int k = 0; k < 4; k++)
            {
                Forward4(re.Slice(k * q, q), im.Slice(k * q, q));
            }
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Inverse4(Span<float> re, Span<float> im)
    {
        if (re.Length == 16 && Vector256.IsHardwareAccelerated)
        {
            Inverse16(ref MemoryMarshal.GetReference(re), ref MemoryMarshal.GetReference(im));
            return;
        }

        int q = re.Length / 4;
        if (q >= 4)
        {
            for (int k = 0; k < 4; k++)
            {
                Inverse4(re.Slice(k * q, q), im.Slice(k * q, q));
            }
        }

        InversePass(re, im, TwiddlesOf(re.Length));
    }

    // Sixteen points in two vectors: radix 2 four times, three of them within a vector (lanes j and j + 4, + 2, + 1).
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Forward16(ref float re, ref float im)
    {
        Vector256<float> ar = Vector256.LoadUnsafe(ref re), br = Vector256.LoadUnsafe(ref re, 8);
        Vector256<float> ai = Vector256.LoadUnsafe(ref im), bi = Vector256.LoadUnsafe(ref im, 8);
        Vector256<float> xr = ar - br, xi = ai - bi;
        Vector256<float> wr = Vector256.Create(C0, C1, C2, C3, C4, -C3, -C2, -C1), wi = Vector256.Create(-C4, -C3, -C2, -C1, -C0, -C1, -C2, -C3);
        (ar, ai) = Forward8(ar + br, ai + bi);
        (br, bi) = Forward8((xr * wr) - (xi * wi), (xr * wi) + (xi * wr));
        ar.StoreUnsafe(ref re);
        br.StoreUnsafe(ref re, 8);
        ai.StoreUnsafe(ref im);
        bi.StoreUnsafe(ref im, 8);
    }

    // Cosines of 0 to 4 sixteenths of a turn.
    private const float C0 = 1, C1 = 0.923879533f, C2 = 0.707106781f, C3 = 0.382683432f, C4 = 0;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (Vector256<float> Re, Vector256<float> Im) Forward8(Vector256<float> re, Vector256<float> im)
    {
        Vector256<float> sign = Vector256.Create(1f, 1, 1, 1, -1, -1, -1, -1);
        Vector256<float> r = Vector256.Shuffle(re, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (re * sign);
        Vector256<float> i = Vector256.Shuffle(im, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (im * sign);
        Vector256<float> wr = Vector256.Create(1, 1, 1, 1, 1, C2, 0, -C2), wi = Vector256.Create(0, 0, 0, 0, 0, -C2, -1, -C2);
        (re, im) = ((r * wr) - (i * wi), (r * wi) + (i * wr));
        sign = Vector256.Create(1f, 1, -1, -1, 1, 1, -1, -1);
        r = Vector256.Shuffle(re, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (re * sign);
        i = Vector256.Shuffle(im, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (im * sign);

        // Times -i in the fourth of each four.
        Vector256<float> fourth = Vector256.Create(0, 0, 0, -1, 0, 0, 0, -1).AsSingle();
        (re, im) = (Vector256.ConditionalSelect(fourth, i, r), Vector256.ConditionalSelect(fourth, -r, i));
        sign = Vector256.Create(1f, -1, 1, -1, 1, -1, 1, -1);
        return (
            Vector256.Shuffle(re, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (re * sign),
            Vector256.Shuffle(im, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (im * sign));
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static void Inverse16(ref float re, ref float im)
    {
        (Vector256<float> ar, Vector256<float> ai) = Inverse8(Vector256.LoadUnsafe(ref re), Vector256.LoadUnsafe(ref im));
        (Vector256<float> xr, Vector256<float> xi) = Inverse8(Vector256.LoadUnsafe(ref re, 8), Vector256.LoadUnsafe(ref im, 8));
        Vector256<float> wr = Vector256.Create(C0, C1, C2, C3, C4, -C3, -C2, -C1), wi = Vector256.Create(-C4, -C3, -C2, -C1, -C0, -C1, -C2, -C3);
        Vector256<float> br = (xr * wr) + (xi * wi), bi = (xi * wr) - (xr * wi);
        (ar + br).StoreUnsafe(ref re);
        (ar - br).StoreUnsafe(ref re, 8);
        (ai + bi).StoreUnsafe(ref im);
        (ai - bi).StoreUnsafe(ref im, 8);
    }

    // The forward steps undone, last first.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static (Vector256<float> Re, Vector256<float> Im) Inverse8(Vector256<float> re, Vector256<float> im)
    {
        Vector256<float> sign = Vector256.Create(1f, -1, 1, -1, 1, -1, 1, -1);
        Vector256<float> r = Vector256.Shuffle(re, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (re * sign);
        Vector256<float> i = Vector256.Shuffle(im, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (im * sign);
        Vector256<float> fourth = Vector256.Create(0, 0, 0, -1, 0, 0, 0, -1).AsSingle();
        (re, im) = (Vector256.ConditionalSelect(fourth, -i, r), Vector256.ConditionalSelect(fourth, r, i));
        sign = Vector256.Create(1f, 1, -1, -1, 1, 1, -1, -1);
        r = Vector256.Shuffle(re, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (re * sign);
        i = Vector256.Shuffle(im, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (im * sign);
        Vector256<float> wr = Vector256.Create(1, 1, 1, 1, 1, C2, 0, -C2), wi = Vector256.Create(0, 0, 0, 0, 0, -C2, -1, -C2);
        (re, im) = ((r * wr) + (i * wi), (i * wr) - (r * wi));
        sign = Vector256.Create(1f, 1, 1, 1, -1, -1, -1, -1);
        return (
            Vector256.Shuffle(re, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (re * sign),
            Vector256.Shuffle(im, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (im * sign));
    }

    // With W = exp(-2 pi i j / n): a+b+c+d; (a-b+c-d) W^2; (a-c - i(b-d)) W; (a-c + i(b-d)) W^3. This order of the
    // quarters is what keeps the spectrum in plain bit-reversed order.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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
