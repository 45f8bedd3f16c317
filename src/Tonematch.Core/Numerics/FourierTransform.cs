using System.Collections.Concurrent;
using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;

namespace Tonematch.Numerics;

/// <summary>
/// The discrete Fourier transform of 2^k complex points in single precision, designed for correlations: the spectrum
/// stays in bit-reversed order, so nothing needs to be reordered.
/// </summary>
/// <remarks>
/// Cooley and Tukey 1965; decimation in frequency forwards and in time backwards, two levels merged into one pass
/// (radix 4), recursive so that small blocks stay in the first-level cache, eight points per vector, the last sixteen
/// points within two registers. The passes are compiled fully optimised at once, because a run is too short for tiered
/// compilation. Instances are immutable and may be shared by threads.
/// </remarks>
public sealed class FourierTransform
{
    private static readonly ConcurrentDictionary<int, FourierTransform> s_bySize = new();

    // Blocks of at most this many points are transformed at once.
    private const int Leaf = 16;

    // By log2 of a block's length n: cos and sin of -j turns / n and, for radix-4 blocks, of -2j and -3j turns.
    private readonly float[][] _twiddles = new float[29][];

    // Cos and sin of the first half of the frequencies, in bit-reversed order: half a turn for half the points.
    private readonly Lazy<(float[] Cos, float[] Sin)> _halving;

    private FourierTransform(int size)
    {
        Size = size;
        for (int n = size; n > Leaf; n /= BitOperations.Log2((uint)n) % 2 == 1 ? 2 : 4)
        {
            _twiddles[BitOperations.Log2((uint)n)] = Twiddles(n);
        }

        _halving = new(Halving);
    }

    /// <summary>Number of complex points, a power of two.</summary>
    public int Size { get; }

    /// <summary>The transform of <paramref name="size"/> points; created once and cached.</summary>
    /// <exception cref="ArgumentOutOfRangeException">The size is not a power of two in 2..2^28.</exception>
    public static FourierTransform OfSize(int size)
    {
        if (size < 2 || size > 1 << 28 || !BitOperations.IsPow2(size))
        {
            throw new ArgumentOutOfRangeException(nameof(size), size, "The size must be a power of two from 2 to 2^28.");
        }

        return s_bySize.GetOrAdd(size, static n => new FourierTransform(n));
    }

    /// <summary>
    /// The position of frequency <paramref name="bin"/> in the bit-reversed spectrum (the mapping is its own inverse).
    /// </summary>
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
    /// The position of the negative of the frequency at <paramref name="position"/>: its mirror within the block of
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
        Transform(re, im, forward: true);
    }

    /// <summary>Inverse transform in place, from a bit-reversed spectrum to points in order, without the factor 1 / Size.</summary>
    /// <exception cref="ArgumentException">A span's length is not <see cref="Size"/>.</exception>
    public void InverseUnscaled(Span<float> re, Span<float> im)
    {
        CheckLengths(re, im);
        Transform(re, im, forward: false);
    }

    /// <summary>
    /// Inverse transform of the bit-reversed spectrum of real points, at half the cost: without the factor 1 / Size,
    /// even points in order in the first half of <paramref name="re"/>, odd ones in that of <paramref name="im"/>. The
    /// second halves are undefined.
    /// </summary>
    /// <remarks>Treats the points 2t and 2t+1 as one complex point of a transform of half the size.</remarks>
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
                // A frequency below half the rate and the one half the rate above it are adjacent.
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

    // Forward from the whole to the parts, inverse from the parts to the whole.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Transform(Span<float> re, Span<float> im, bool forward)
    {
        int n = re.Length, log = BitOperations.Log2((uint)n), parts = log % 2 == 1 ? 2 : 4;
        if (n <= Leaf)
        {
            TransformLeaf(re, im, forward);
            return;
        }

        if (forward)
        {
            Pass(re, im, parts, _twiddles[log], forward);
        }

        for (int k = 0; k < parts; k++)
        {
            Transform(re.Slice(k * n / parts, n / parts), im.Slice(k * n / parts, n / parts), forward);
        }

        if (!forward)
        {
            Pass(re, im, parts, _twiddles[log], forward);
        }
    }

    // With W = exp(-2 pi i j / n), in two: a+b; (a-b) W. In four: a+b+c+d; (a-b+c-d) W^2; (a-c - i(b-d)) W; (a-c +
    // i(b-d)) W^3. This order of the quarters keeps the spectrum in plain bit-reversed order. The inverse undoes this:
    // conjugate factors first.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Pass(Span<float> re, Span<float> im, int parts, float[] twiddles, bool forward)
    {
        ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
        ref float t = ref MemoryMarshal.GetArrayDataReference(twiddles);
        nuint q = (nuint)(re.Length / parts);
        for (nuint j = 0; j < q; j += 8)
        {
            Points a = new(ref r, ref i, j), b = new(ref r, ref i, j + q), w1 = new(ref t, ref t, j, j + q);
            if (parts == 2 && forward)
            {
                (a + b).Store(ref r, ref i, j);
                ((a - b) * w1).Store(ref r, ref i, j + q);
                continue;
            }

            if (parts == 2)
            {
                Points turned = b.TimesConjugate(w1);
                (a + turned).Store(ref r, ref i, j);
                (a - turned).Store(ref r, ref i, j + q);
                continue;
            }

            Points c = new(ref r, ref i, j + (2 * q)), d = new(ref r, ref i, j + (3 * q));
            Points w2 = new(ref t, ref t, j + (2 * q), j + (3 * q)), w3 = new(ref t, ref t, j + (4 * q), j + (5 * q));
            if (forward)
            {
                Points ac = a + c, bd = b + d, u = a - c, v = (b - d).TimesI();
                (ac + bd).Store(ref r, ref i, j);
                ((ac - bd) * w2).Store(ref r, ref i, j + q);
                ((u - v) * w1).Store(ref r, ref i, j + (2 * q));
                ((u + v) * w3).Store(ref r, ref i, j + (3 * q));
            }
            else
            {
                Points b2 = b.TimesConjugate(w2), c1 = c.TimesConjugate(w1), d3 = d.TimesConjugate(w3);
                Points ab = a + b2, cd = c1 + d3, u = a - b2, v = (c1 - d3).TimesI();
                (ab + cd).Store(ref r, ref i, j);
                (u + v).Store(ref r, ref i, j + q);
                (ab - cd).Store(ref r, ref i, j + (2 * q));
                (u - v).Store(ref r, ref i, j + (3 * q));
            }
        }
    }

    // Sixteen points in two vectors: radix 2 four times, three of them within a vector (lanes j and j + 4, + 2, + 1).
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void TransformLeaf(Span<float> re, Span<float> im, bool forward)
    {
        if (re.Length < Leaf || !Vector256.IsHardwareAccelerated)
        {
            TransformOneByOne(re, im, forward);
            return;
        }

        ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
        Points a = new(ref r, ref i, 0), b = new(ref r, ref i, 8);
        Points w16 = new(Vector256.Create(C0, C1, C2, C3, C4, -C3, -C2, -C1), Vector256.Create(-C4, -C3, -C2, -C1, -C0, -C1, -C2, -C3));
        if (forward)
        {
            Forward8(a + b).Store(ref r, ref i, 0);
            Forward8((a - b) * w16).Store(ref r, ref i, 8);
        }
        else
        {
            Points even = Inverse8(a), odd = Inverse8(b).TimesConjugate(w16);
            (even + odd).Store(ref r, ref i, 0);
            (even - odd).Store(ref r, ref i, 8);
        }
    }

    // Cosines of 0 to 4 sixteenths of a turn.
    private const float C0 = 1, C1 = 0.923879533f, C2 = 0.707106781f, C3 = 0.382683432f, C4 = 0;

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points Forward8(Points x) => SumsBy1(SumsBy2(SumsBy4(x) * W8()) * W4());

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points Inverse8(Points x) => SumsBy4(SumsBy2(SumsBy1(x).TimesConjugate(W4())).TimesConjugate(W8()));

    // Marked, because a method that is compiled fully optimised at once does not inline what is not: a call per constant
    // makes the whole transform three times as slow.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points W8() => new(Vector256.Create(1, 1, 1, 1, 1, C2, 0, -C2), Vector256.Create(0, 0, 0, 0, 0, -C2, -1, -C2));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points W4() => new(Vector256.Create(1f, 1, 1, 0, 1, 1, 1, 0), Vector256.Create(0f, 0, 0, -1, 0, 0, 0, -1));

    // For lanes at a given distance: their sum in the first, their difference in the second.
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points SumsBy4(Points x) => new(
        Vector256.Shuffle(x.Re, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (x.Re * Vector256.Create(1f, 1, 1, 1, -1, -1, -1, -1)),
        Vector256.Shuffle(x.Im, Vector256.Create(4, 5, 6, 7, 0, 1, 2, 3)) + (x.Im * Vector256.Create(1f, 1, 1, 1, -1, -1, -1, -1)));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points SumsBy2(Points x) => new(
        Vector256.Shuffle(x.Re, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (x.Re * Vector256.Create(1f, 1, -1, -1, 1, 1, -1, -1)),
        Vector256.Shuffle(x.Im, Vector256.Create(2, 3, 0, 1, 6, 7, 4, 5)) + (x.Im * Vector256.Create(1f, 1, -1, -1, 1, 1, -1, -1)));

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static Points SumsBy1(Points x) => new(
        Vector256.Shuffle(x.Re, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (x.Re * Vector256.Create(1f, -1, 1, -1, 1, -1, 1, -1)),
        Vector256.Shuffle(x.Im, Vector256.Create(1, 0, 3, 2, 5, 4, 7, 6)) + (x.Im * Vector256.Create(1f, -1, 1, -1, 1, -1, 1, -1)));

    // The same without vectors, for fewer points and for processors without vectors of this width.
    private static void TransformOneByOne(Span<float> re, Span<float> im, bool forward)
    {
        for (int n = forward ? re.Length : 2; n >= 2 && n <= re.Length; n = forward ? n / 2 : n * 2)
        {
            for (int at = 0; at < re.Length; at += at % n == (n / 2) - 1 ? (n / 2) + 1 : 1)
            {
                int to = at + (n / 2);
                (float sin, float cos) = MathF.SinCos(-2 * MathF.PI * (at % n) / n);
                Complex w = new(cos, sin), a = new(re[at], im[at]), b = new(re[to], im[to]);
                b = forward ? b : b * Complex.Conjugate(w);
                Complex difference = forward ? (a - b) * w : a - b;
                (re[at], im[at]) = ((float)(a + b).Real, (float)(a + b).Imaginary);
                (re[to], im[to]) = ((float)difference.Real, (float)difference.Imaginary);
            }
        }
    }

    private static float[] Twiddles(int n)
    {
        int parts = BitOperations.Log2((uint)n) % 2 == 1 ? 2 : 4, count = n / parts;
        float[] t = new float[2 * count * (parts - 1)];
        for (int p = 1; p < parts; p++)
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

    // Eight complex numbers.
    private readonly struct Points(Vector256<float> re, Vector256<float> im)
    {
        public readonly Vector256<float> Re = re, Im = im;

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Points(ref float re, ref float im, nuint at)
            : this(ref re, ref im, at, at)
        {
        }

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Points(ref float re, ref float im, nuint atRe, nuint atIm)
            : this(Vector256.LoadUnsafe(ref re, atRe), Vector256.LoadUnsafe(ref im, atIm))
        {
        }

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Points operator +(Points x, Points y) => new(x.Re + y.Re, x.Im + y.Im);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Points operator -(Points x, Points y) => new(x.Re - y.Re, x.Im - y.Im);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Points operator *(Points x, Points w) => new((x.Re * w.Re) - (x.Im * w.Im), (x.Re * w.Im) + (x.Im * w.Re));

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Points TimesConjugate(Points w) => new((Re * w.Re) + (Im * w.Im), (Im * w.Re) - (Re * w.Im));

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Points TimesI() => new(-Im, Re);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public void Store(ref float re, ref float im, nuint at)
        {
            Re.StoreUnsafe(ref re, at);
            Im.StoreUnsafe(ref im, at);
        }
    }
}
