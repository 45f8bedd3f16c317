using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using System.Runtime.Intrinsics;
using Tonematch.Numerics;

namespace Tonematch.Sync.Sound.Signals;

/// <summary>
/// Generalised cross-correlation with phase transform of two sections of sound (GCC-PHAT; Knapp and Carter, 'The
/// generalized correlation method for estimation of time delay', IEEE Trans. ASSP 24(4), 1976): every frequency has
/// equal weight, so rooms and microphones hardly affect the peak.
/// </summary>
internal sealed class PhaseCorrelation
{
    private const double LowestHertz = 100;

    private readonly FourierTransform _transform;
    private readonly float[] _weights;
    private readonly float[] _window;
    private readonly float _weightSum;

    /// <param name="rate">Samples per second.</param>
    /// <param name="length">Samples in a section, a power of two.</param>
    /// <param name="tapered">Whether to apply a Hann window to the sections: without it a hum leaks over hundreds of frequencies and counts in each of them.</param>
    public PhaseCorrelation(int rate, int length, bool tapered)
    {
        (Rate, Length) = (rate, length);
        _transform = FourierTransform.OfSize(2 * length);
        _weights = new float[2 * length];
        double highest = 0.45 * rate;
        for (int bin = 0; bin <= length; bin++)
        {
            double hertz = (double)bin * rate / (2 * length);
            double weight = Math.Min(Math.Clamp((hertz - (LowestHertz / 2)) / LowestHertz, 0, 1), Math.Clamp((highest - hertz) / (0.1 * highest), 0, 1));
            int p = _transform.PositionOf(bin);
            _weights[p] = _weights[FourierTransform.MirrorOf(p)] = (float)weight;
        }

        _weightSum = _weights.Sum();
        _window = [.. Enumerable.Range(0, length).Select(k => tapered ? (float)(0.5 - (0.5 * Math.Cos(2 * Math.PI * (k + 0.5) / length))) : 1)];
    }

    public int Rate { get; }

    /// <summary>An empty pool for this length.</summary>
    public PooledSpectra NewPool() => new(_transform, _weights);

    public int Length { get; }

    /// <summary>
    /// The correlation at lags -most..most samples: 1 at lag L means the secondary is the primary, L samples later.
    /// </summary>
    /// <param name="primary">2 x Length values, of which the first Length are the section; all are overwritten.</param>
    /// <param name="secondary">The same number for the secondary.</param>
    /// <param name="most">Largest lag wanted, below Length.</param>
    /// <param name="noise">Root mean square of the correlation over all lags: the height expected by chance.</param>
    /// <param name="pool">Receives both spectra before their magnitudes are removed.</param>
    public float[] Correlate(Span<float> primary, Span<float> secondary, int most, out double noise, PooledSpectra? pool = null)
    {
        Taper(primary);
        Taper(secondary);
        _transform.Forward(primary, secondary);
        pool?.Add(primary, secondary);

        // The mean square over all lags is the sum of squares over all frequencies (Parseval).
        noise = Math.Sqrt(Whiten(primary, secondary)) / _weightSum;
        _transform.InverseRealUnscaled(primary, secondary);
        float[] lags = new float[(2 * most) + 1];
        for (int lag = -most; lag <= most; lag++)
        {
            int at = lag >= 0 ? lag : lag + (2 * Length);
            lags[lag + most] = (at % 2 == 0 ? primary : secondary)[at / 2] / _weightSum;
        }

        return lags;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Taper(Span<float> stretch)
    {
        Span<float> used = stretch[..Length];
        int k = 0;
        for (; k + Vector256<float>.Count <= Length; k += Vector256<float>.Count)
        {
            (Vector256.Create(used[k..]) * Vector256.Create(_window.AsSpan(k))).CopyTo(used[k..]);
        }

        for (; k < Length; k++)
        {
            used[k] *= _window[k];
        }

        stretch[Length..].Clear();
    }

    // Separates both spectra from that of a + i b; then conj(A) B with magnitude 1, weighted. Returns the sum of the
    // squares.
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private double Whiten(Span<float> re, Span<float> im)
    {
        const float Least = 1e-30f;
        double squares = 0;
        ref float r = ref MemoryMarshal.GetReference(re), i = ref MemoryMarshal.GetReference(im);
        ref float w = ref MemoryMarshal.GetArrayDataReference(_weights);
        for (int p = 0; p < Math.Min(16, re.Length); p++)
        {
            int q = FourierTransform.MirrorOf(p);
            if (q < p)
            {
                continue;
            }

            float ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
            float cr = (ar * br) + (ai * bi), ci = (ar * bi) - (ai * br);
            float magnitude = MathF.Sqrt((cr * cr) + (ci * ci));
            float scale = magnitude > Least ? _weights[p] / magnitude : 0;
            squares += (q > p ? 2 : 1) * (scale > 0 ? _weights[p] * _weights[p] : 0);
            (re[p], im[p]) = (cr * scale, ci * scale);
            (re[q], im[q]) = (re[p], -im[p]);
        }

        // From 16 on, a block's first half and its reversed second half mirror each other.
        Vector256<int> backwards = Vector256.Create(7, 6, 5, 4, 3, 2, 1, 0);
        for (int block = 16; block < re.Length; block *= 2)
        {
            Vector256<float> sum = Vector256<float>.Zero;
            for (int p = block; p < block + (block / 2); p += Vector256<float>.Count)
            {
                nuint at = (nuint)p, mirror = (nuint)((3 * block) - p - Vector256<float>.Count);
                Vector256<float> pr = Vector256.LoadUnsafe(ref r, at), pi = Vector256.LoadUnsafe(ref i, at);
                Vector256<float> qr = Vector256.Shuffle(Vector256.LoadUnsafe(ref r, mirror), backwards);
                Vector256<float> qi = Vector256.Shuffle(Vector256.LoadUnsafe(ref i, mirror), backwards);
                Vector256<float> ar = pr + qr, ai = pi - qi, br = pi + qi, bi = qr - pr;
                Vector256<float> cr = (ar * br) + (ai * bi), ci = (ar * bi) - (ai * br);
                Vector256<float> magnitude = Vector256.Sqrt((cr * cr) + (ci * ci));
                Vector256<float> there = Vector256.GreaterThan(magnitude, Vector256.Create(Least));
                Vector256<float> weight = Vector256.LoadUnsafe(ref w, at) & there;
                Vector256<float> scale = weight / Vector256.ConditionalSelect(there, magnitude, Vector256<float>.One);
                sum += weight * weight;
                (cr, ci) = (cr * scale, ci * scale);
                cr.StoreUnsafe(ref r, at);
                ci.StoreUnsafe(ref i, at);
                Vector256.Shuffle(cr, backwards).StoreUnsafe(ref r, mirror);
                (-Vector256.Shuffle(ci, backwards)).StoreUnsafe(ref i, mirror);
            }

            squares += 2 * (double)Vector256.Sum(sum);
        }

        return squares;
    }
}
