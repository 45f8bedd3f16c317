namespace Tonematch.Sync;

/// <summary>
/// Power and cross spectra summed over many windows: what one window shows by chance falls out, what the rooms do
/// stays. Windows count alike, whatever the level.
/// </summary>
/// <remarks>
/// Welch's averaging (IEEE Trans. Audio Electroacoustics 15(2), 1967). From it the coherence ('smoothed coherence
/// transform': Carter, Nuttall and Cable, Proc. IEEE 61(10), 1973) and the response from the one recording to the other
/// (the H1 estimate: Bendat and Piersol, 'Random Data', chapter on input/output relations).
/// </remarks>
internal sealed class PooledSpectra(FourierTransform transform, float[] weights)
{
    // Where there is next to no sound at all a ratio says nothing.
    private const double LeastPower = 1e-6;

    private readonly float[] _primary = new float[transform.Size];
    private readonly float[] _secondary = new float[transform.Size];
    private readonly float[] _crossRe = new float[transform.Size];
    private readonly float[] _crossIm = new float[transform.Size];
    private readonly Lock _adding = new();

    /// <summary>Windows that were added.</summary>
    public int Windows { get; private set; }

    /// <summary>Adds the spectrum of primary + i secondary, in the transform's own order. Safe from several threads.</summary>
    public void Add(ReadOnlySpan<float> re, ReadOnlySpan<float> im)
    {
        double primary = 0, secondary = 0;
        for (int p = 0; p < re.Length; p++)
        {
            int q = FourierTransform.MirrorOf(p);
            double ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
            primary += weights[p] * ((ar * ar) + (ai * ai));
            secondary += weights[p] * ((br * br) + (bi * bi));
        }

        if (primary <= 0 || secondary <= 0)
        {
            return;
        }

        float a = (float)(re.Length / primary), b = (float)(re.Length / secondary), both = MathF.Sqrt(a * b);
        lock (_adding)
        {
            for (int p = 0; p < re.Length; p++)
            {
                int q = FourierTransform.MirrorOf(p);
                float ar = re[p] + re[q], ai = im[p] - im[q], br = im[p] + im[q], bi = re[q] - re[p];
                _primary[p] += a * ((ar * ar) + (ai * ai));
                _secondary[p] += b * ((br * br) + (bi * bi));
                _crossRe[p] += both * ((ar * br) + (ai * bi));
                _crossIm[p] += both * ((ar * bi) - (ai * br));
            }

            Windows++;
        }
    }

    /// <summary>Magnitudes of the coherence's transform at lags -most..most samples; a positive lag: the secondary hears it later.</summary>
    public float[] Coherence(int most) => Lags(most, false, p => 1 / Math.Sqrt(Math.Max(1e-30, (double)_primary[p] * _secondary[p])));

    /// <summary>Magnitudes of the response that makes the secondary of the primary, at lags -most..most samples.</summary>
    public float[] SecondaryOverPrimary(int most) => Lags(most, false, p => 1 / (_primary[p] + (LeastPower * Windows)));

    /// <summary>Magnitudes of the response that makes the primary of the secondary; a positive lag: the primary hears it later.</summary>
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
