using Tonematch.Numerics;
using Tonematch.Sync.Sound.Candidates;

namespace Tonematch.Sync.Sound.Windows;

/// <summary>The line through the single windows' peaks, to a fraction of a sample.</summary>
internal sealed record RefinedLine(
    double Offset, double AtSeconds, double DriftPpm, double OffsetError, double DriftErrorPpm, double MedianResidual, int AgreeingWindows, int Windows)
{
    // How near a window's own peak must be to the judged line to count, and to the final line to agree.
    private const double NearSeconds = 0.003;
    private const double AgreeSeconds = 0.002;
    private const double ShortestForDriftSeconds = 60;

    public double OffsetAt(double primarySeconds) => Offset + (DriftPpm * 1e-6 * (primarySeconds - AtSeconds));

    /// <summary>
    /// The significance of the agreement: -log10 of the probability that this many windows have their highest peak near
    /// one line by chance (binomial; the share is that of the lags near the line, doubled for repeating sounds).
    /// </summary>
    public double AgreementSurprise
    {
        get
        {
            const double Share = 0.2;
            double tail = 0, term = Math.Pow(1 - Share, Windows);
            for (int k = 0; k <= Windows; k++)
            {
                tail += k >= AgreeingWindows ? term : 0;
                term *= Share / (1 - Share) * (Windows - k) / (k + 1);
            }

            return -Math.Log10(Math.Max(tail, 1e-30));
        }
    }

    public OffsetCandidate ToCandidate(OffsetCandidate candidate) =>
        candidate with { OffsetSeconds = Offset, AtSeconds = AtSeconds, DriftPpm = DriftPpm == 0 ? candidate.DriftPpm : DriftPpm };

    public static RefinedLine Refine(AlignedWindows windows, double precisionSeconds, double maximumDriftPpm)
    {
        List<(double At, double Offset, double Own, double Weight)> points = [];
        for (int w = 0; w < windows.Count; w++)
        {
            float[] lags = windows.Lags(w);
            int near = (int)(NearSeconds * windows.Rate);
            (double lag, double height) = Highest(lags, windows.MostLag - near, windows.MostLag + near);
            (double ownLag, _) = Highest(windows.HeightsOverChance(w), 1, lags.Length - 2);
            double line = windows.Line.OffsetAt(windows.At(w));
            double over = Math.Min(height / windows.Noise(w), 40);
            points.Add((windows.At(w), line + ((lag - windows.MostLag) / windows.Rate), line + ((ownLag - windows.MostLag) / windows.Rate), over * over));
        }

        double[] x = [.. points.Select(p => p.At)], y = [.. points.Select(p => p.Offset)], weights = [.. points.Select(p => p.Weight)];
        double span = x[^1] - x[0];
        RobustLine level = RobustLine.Fit(x, y, weights, withSlope: false, precisionSeconds);
        RobustLine fit = level;
        double ppm = 0, ppmError = 0;
        if (x.Length >= 5 && span >= ShortestForDriftSeconds)
        {
            RobustLine sloped = RobustLine.Fit(x, y, weights, withSlope: true, precisionSeconds);
            ppmError = sloped.SlopeError * 1e6;
            if (Math.Abs(sloped.Slope) > 3 * sloped.SlopeError && Math.Abs(sloped.Slope) * 1e6 <= maximumDriftPpm)
            {
                (fit, ppm) = (sloped, sloped.Slope * 1e6);
            }
        }

        int agreeing = points.Count(p => Math.Abs(p.Own - fit.ValueAt(p.At)) <= AgreeSeconds);
        return new RefinedLine(fit.Value, fit.At, ppm, fit.ValueError, ppmError, fit.MedianResidual, agreeing, points.Count);
    }

    private static (double Place, double Height) Highest(float[] lags, int from, int to)
    {
        int best = from;
        for (int k = from; k <= to; k++)
        {
            best = Math.Abs(lags[k]) > Math.Abs(lags[best]) ? k : best;
        }

        double shift = best > 0 && best + 1 < lags.Length
            ? Parabola.Vertex(Math.Abs(lags[best - 1]), Math.Abs(lags[best]), Math.Abs(lags[best + 1]))
            : 0;
        return (best + shift, Math.Abs(lags[best]));
    }
}
