using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Numerics;

namespace Tonematch.Sync.Sound.Signals;

/// <summary>
/// Power and cross spectra summed over many windows: chance effects of single windows average out, the rooms' responses
/// remain. All windows have equal weight, whatever their level.
/// </summary>
/// <remarks>
/// Welch's averaging (IEEE Trans. Audio Electroacoustics 15(2), 1967). From it the coherence ('smoothed coherence
/// transform': Carter, Nuttall and Cable, Proc. IEEE 61(10), 1973) and the response from one recording to the other
/// (the H1 estimate: Bendat and Piersol, 'Random Data', chapter on input/output relations).
/// </remarks>
internal sealed class PooledSpectra(FourierTransform transform, float[] weights)
{
    // With almost no sound, a ratio is meaningless.
    private const double LeastPower = 1e-6;

    private readonly float[] _primary = new float[transform.Size];
    private readonly float[] _secondary = new float[transform.Size];
    private readonly float[] _crossRe = new float[transform.Size];
    private readonly float[] _crossIm = new float[transform.Size];
    private readonly Lock _adding = new();

    /// <summary>The number of windows added.</summary>
    public int Windows { get; private set; }

    /// <summary>Adds the spectrum of primary + i secondary, in the transform's own order. Safe from several threads.</summary>
    public void Add(ReadOnlySpan<float> re, ReadOnlySpan<float> im)
    {
        (double primary, double secondary) = Add(re, im, 1, 1, powersOnly: true);
        if (primary <= 0 || secondary <= 0)
        {
            return;
        }

        float a = (float)(re.Length / primary), b = (float)(re.Length / secondary);
        lock (_adding)
        {
            Add(re, im, a, b, powersOnly: false);
            Windows++;
        }
    }

    // The weighted powers of both; also adds both power spectra and the cross spectrum, times a and b.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private (double Primary, double Secondary) Add(ReadOnlySpan<float> re, ReadOnlySpan<float> im, float a, float b, bool powersOnly)
    {
        double primary = 0, secondary = 0;
        float both = MathF.Sqrt(a * b);
        for (int p = 0; p < Math.Min(16, re.Length); p++)
        {
            int q = FourierTransform.MirrorOf(p);
            float ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
            float pa = (ar * ar) + (ai * ai), pb = (br * br) + (bi * bi);
            primary += weights[p] * pa;
            secondary += weights[p] * pb;
            if (!powersOnly)
            {
                _primary[p] += a * pa;
                _secondary[p] += b * pb;
                _crossRe[p] += both * ((ar * br) + (ai * bi));
                _crossIm[p] += both * ((ar * bi) - (ai * br));
            }
        }

        // From 16 on, a position's mirrors run backwards through its block.
        Vector256<int> backwards = Vector256.Create(7, 6, 5, 4, 3, 2, 1, 0);
        ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
        ref float w = ref MemoryMarshal.GetArrayDataReference(weights);
        for (int block = 16; block < re.Length; block *= 2)
        {
            Vector256<float> sumA = Vector256<float>.Zero, sumB = Vector256<float>.Zero;
            for (int p = block; p < 2 * block; p += Vector256<float>.Count)
            {
                nuint at = (nuint)p, mirror = (nuint)((3 * block) - p - Vector256<float>.Count);
                Vector256<float> pr = Vector256.LoadUnsafe(ref r, at), pi = Vector256.LoadUnsafe(ref i, at);
                Vector256<float> qr = Vector256.Shuffle(Vector256.LoadUnsafe(ref r, mirror), backwards);
                Vector256<float> qi = Vector256.Shuffle(Vector256.LoadUnsafe(ref i, mirror), backwards);
                Vector256<float> ar = pr + qr, ai = pi - qi, br = pi + qi, bi = qr - pr;
                Vector256<float> pa = (ar * ar) + (ai * ai), pb = (br * br) + (bi * bi), weight = Vector256.LoadUnsafe(ref w, at);
                sumA += weight * pa;
                sumB += weight * pb;
                if (!powersOnly)
                {
                    AddTo(_primary, at, pa * a);
                    AddTo(_secondary, at, pb * b);
                    AddTo(_crossRe, at, ((ar * br) + (ai * bi)) * both);
                    AddTo(_crossIm, at, ((ar * bi) - (ai * br)) * both);
                }
            }

            primary += Vector256.Sum(sumA);
            secondary += Vector256.Sum(sumB);
        }

        return (primary, secondary);

        static void AddTo(float[] sums, nuint at, Vector256<float> values)
        {
            ref float s = ref MemoryMarshal.GetArrayDataReference(sums);
            (Vector256.LoadUnsafe(ref s, at) + values).StoreUnsafe(ref s, at);
        }
    }

    /// <summary>
    /// Magnitudes of the coherence's transform at lags -most..most samples; at a positive lag the secondary hears it
    /// later.
    /// </summary>
    public float[] Coherence(int most) => Lags(most, false, p => 1 / Math.Sqrt(Math.Max(1e-30, (double)_primary[p] * _secondary[p])));

    /// <summary>Magnitudes of the response from the primary to the secondary, at lags -most..most samples.</summary>
    public float[] SecondaryOverPrimary(int most) => Lags(most, false, p => 1 / (_primary[p] + (LeastPower * Windows)));

    /// <summary>
    /// Magnitudes of the response from the secondary to the primary; at a positive lag the primary hears it later.
    /// </summary>
    public float[] PrimaryOverSecondary(int most) => Lags(most, true, p => 1 / (_secondary[p] + (LeastPower * Windows)));

    private float[] Lags(int most, bool reversed, Func<int, double> scale)
    {
        int size = transform.Size;
        float[] re = new float[size], im = new float[size];
        for (int p = 0; p < size; p++)
        {
            float s = (float)(weights[p] * scale(p));
            (re[p], im[p]) = (s * _crossRe[p], (reversed ? -s : s) * _crossIm[p]);
        }

        transform.InverseUnscaled(re, im);
        float[] lags = new float[(2 * most) + 1];
        for (int lag = -most; lag <= most; lag++)
        {
            lags[lag + most] = Math.Abs(re[lag >= 0 ? lag : lag + size]);
        }

        return lags;
    }
}
