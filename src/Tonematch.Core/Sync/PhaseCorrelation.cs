namespace Tonematch.Sync;

/// <summary>
/// Generalised cross-correlation with phase transform of two stretches of sound (GCC-PHAT; Knapp and Carter, 'The
/// generalized correlation method for estimation of time delay', IEEE Trans. ASSP 24(4), 1976): every frequency
/// counts alike, so rooms and microphones colour the peak little.
/// </summary>
internal sealed class PhaseCorrelation
{
    private const double LowestHertz = 100;

    private readonly FourierTransform _transform;
    private readonly float[] _weights;
    private readonly float[] _window;
    private readonly float _weightSum;

    /// <param name="rate">Samples a second.</param>
    /// <param name="length">Samples in a stretch, a power of two.</param>
    /// <param name="tapered">Fade the stretches in and out (Hann): without it a hum leaks over hundreds of frequencies
    /// and counts in each of them.</param>
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
    /// <param name="primary">Length samples.</param>
    /// <param name="secondary">Length samples.</param>
    /// <param name="most">Largest lag wanted, below Length.</param>
    /// <param name="noise">Root mean square of the correlation over all lags: the height that chance gives.</param>
    /// <param name="pool">Receives both spectra, before their magnitude is taken out.</param>
    public float[] Correlate(ReadOnlySpan<float> primary, ReadOnlySpan<float> secondary, int most, out double noise, PooledSpectra? pool = null)
    {
        int size = 2 * Length;
        float[] re = new float[size], im = new float[size];
        for (int k = 0; k < Length; k++)
        {
            re[k] = primary[k] * _window[k];
            im[k] = secondary[k] * _window[k];
        }

        _transform.Forward(re, im);
        pool?.Add(re, im);
        for (int p = 0; p < size; p++)
        {
            int q = FourierTransform.MirrorOf(p);
            if (q < p)
            {
                continue;
            }

            // Both spectra out of the one of a + i b; then conj(A) B, with magnitude 1.
            float ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
            float cr = (ar * br) + (ai * bi), ci = (ar * bi) - (ai * br);
            float magnitude = MathF.Sqrt((cr * cr) + (ci * ci));
            float scale = magnitude > 1e-30f ? _weights[p] / magnitude : 0;
            (re[p], im[p]) = (cr * scale, ci * scale);
            (re[q], im[q]) = (re[p], -im[p]);
        }

        _transform.InverseUnscaled(re, im);
        double square = 0;
        for (int k = 0; k < size; k++)
        {
            square += (double)re[k] * re[k];
        }

        noise = Math.Sqrt(square / size) / _weightSum;
        float[] lags = new float[(2 * most) + 1];
        for (int lag = -most; lag <= most; lag++)
        {
            lags[lag + most] = re[lag >= 0 ? lag : lag + size] / _weightSum;
        }

        return lags;
    }
}
