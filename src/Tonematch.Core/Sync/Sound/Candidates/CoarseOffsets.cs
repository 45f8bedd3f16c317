using System.Numerics;
using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using Tonematch.Numerics;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Sync.Sound.Candidates;

/// <summary>A possible line: secondary = primary + OffsetSeconds at AtSeconds, steeper by DriftPpm; times from each sound's first sample.</summary>
internal readonly record struct OffsetCandidate(double OffsetSeconds, double AtSeconds, double DriftPpm, double DriftDoubtPpm, double Score)
{
    public double OffsetAt(double primarySeconds) => OffsetSeconds + (DriftPpm * 1e-6 * (primarySeconds - AtSeconds));
}

/// <summary>
/// Finds candidate offsets from two onset envelopes: pieces of the shorter recording are correlated with the whole
/// longer one, and peaks of different pieces that lie on one line of possible drift are combined.
/// </summary>
internal static class CoarseOffsets
{
    private const double LongestPieceSeconds = 120;
    private const int MostPieces = 24;
    private const int PeaksPerPiece = 12;

    // Two peaks nearer than this are one.
    private const double ResolutionSeconds = 0.03;

    private readonly record struct Peak(int Piece, double AtSeconds, double Offset, double Z);

    public static List<OffsetCandidate> Find(
        OnsetEnvelope primary, OnsetEnvelope secondary, double maximumDriftPpm, int count, CancellationToken cancel)
    {
        bool swapped = primary.Frames > secondary.Frames;
        (OnsetEnvelope query, OnsetEnvelope target) = swapped ? (secondary, primary) : (primary, secondary);
        List<Peak> peaks = PeaksOfPieces(query, target, cancel);
        if (swapped)
        {
            // From here on, times are on the primary's time line.
            peaks = [.. peaks.Select(p => p with { AtSeconds = p.AtSeconds + p.Offset, Offset = -p.Offset })];
        }

        return Lines(peaks, maximumDriftPpm, count);
    }

    private static List<Peak> PeaksOfPieces(OnsetEnvelope query, OnsetEnvelope target, CancellationToken cancel)
    {
        const double fps = OnsetEnvelope.FramesPerSecond;
        int pieceFrames = (int)Math.Min(query.Frames, LongestPieceSeconds * fps);
        int pieces = query.Frames <= 40 * fps ? 1 : (int)Math.Clamp(Math.Ceiling(query.Frames / (30 * fps)), 2, MostPieces);
        if (pieces > 1)
        {
            pieceFrames = (int)Math.Min(pieceFrames, Math.Max(20 * fps, query.Frames / 2));
        }

        int size = (int)BitOperations.RoundUpToPowerOf2((uint)(target.Frames + pieceFrames));
        FourierTransform transform = FourierTransform.OfSize(size);

        // Two channels in one complex signal: the real part of its correlation is the sum of both channels'.
        (float[] Re, float[] Im)[] spectra = [.. Enumerable.Range(0, OnsetEnvelope.Channels / 2).Select(c =>
        {
            float[] re = new float[size], im = new float[size];
            target.Channel(2 * c).CopyTo(re);
            target.Channel((2 * c) + 1).CopyTo(im);
            transform.Forward(re, im);
            return (re, im);
        })];
        double[] targetEnergy = RunningEnergy(target, 0, target.Frames);
        int parallel = size > 1 << 20 ? 2 : Environment.ProcessorCount;
        List<Peak>[] found = new List<Peak>[pieces];
        Parallel.For(
            0, pieces, new ParallelOptions { CancellationToken = cancel, MaxDegreeOfParallelism = parallel },
            () => Enumerable.Range(0, 4).Select(_ => new float[size]).ToArray(),
            (piece, _, scratch) =>
            {
                int start = pieces == 1 ? 0 : (int)((long)(query.Frames - pieceFrames) * piece / (pieces - 1));
                found[piece] = PeaksOfPiece(query, piece, start, pieceFrames, target.Frames, targetEnergy, spectra, transform, scratch);
                return scratch;
            },
            _ => { });
        return [.. found.SelectMany(p => p)];
    }

    private static List<Peak> PeaksOfPiece(
        OnsetEnvelope query, int piece, int start, int length, int targetFrames,
        double[] targetEnergy, (float[] Re, float[] Im)[] spectra, FourierTransform transform, float[][] scratch)
    {
        int size = transform.Size;
        float[] re = scratch[0], im = scratch[1], sumRe = scratch[2], sumIm = scratch[3];
        Array.Clear(sumRe);
        Array.Clear(sumIm);
        for (int c = 0; c < spectra.Length; c++)
        {
            Array.Clear(re);
            Array.Clear(im);
            query.Channel(2 * c).Slice(start, length).CopyTo(re);
            query.Channel((2 * c) + 1).Slice(start, length).CopyTo(im);
            transform.Forward(re, im);
            AddConjugateProduct(re, im, spectra[c].Re, spectra[c].Im, sumRe, sumIm);
        }

        transform.InverseUnscaled(sumRe, sumIm);
        double[] energy = RunningEnergy(query, start, length);

        // Lag: the position of the piece's first frame in the target; part of the piece may extend beyond either end.
        int shortest = Math.Min(length, Math.Max(OnsetEnvelope.FramesPerSecond, length / 8));
        int first = shortest - length, last = targetFrames - shortest;
        Span<float> z = re.AsSpan(0, last - first + 1);
        for (int lag = first; lag <= last; lag++)
        {
            int from = Math.Max(0, lag), to = Math.Min(targetFrames, lag + length);
            double e = (targetEnergy[to] - targetEnergy[from]) * (energy[to - lag] - energy[from - lag]);
            double sum = sumRe[lag >= 0 ? lag : lag + size] / size;
            z[lag - first] = e > 0 ? (float)(sum * Math.Sqrt((to - from) * OnsetEnvelope.Channels / e)) : 0;
        }

        List<Peak> peaks = [];
        foreach (int at in HighestPeaks(z, PeaksPerPiece, (int)(ResolutionSeconds * OnsetEnvelope.FramesPerSecond)))
        {
            double shift = at > 0 && at + 1 < z.Length ? Parabola.Vertex(z[at - 1], z[at], z[at + 1]) : 0;
            double offset = (first + at + shift - start) / OnsetEnvelope.FramesPerSecond;
            int from = Math.Max(0, first + at), to = Math.Min(targetFrames, first + at + length);
            double centre = (start + ((from + to) / 2.0) - (first + at)) / OnsetEnvelope.FramesPerSecond;
            peaks.Add(new Peak(piece, centre, offset, z[at]));
        }

        return peaks;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddConjugateProduct(float[] ar, float[] ai, float[] br, float[] bi, float[] sumRe, float[] sumIm)
    {
        Span<Vector<float>> pr = MemoryMarshal.Cast<float, Vector<float>>(ar.AsSpan()), pi = MemoryMarshal.Cast<float, Vector<float>>(ai.AsSpan());
        Span<Vector<float>> qr = MemoryMarshal.Cast<float, Vector<float>>(br.AsSpan()), qi = MemoryMarshal.Cast<float, Vector<float>>(bi.AsSpan());
        Span<Vector<float>> sr = MemoryMarshal.Cast<float, Vector<float>>(sumRe.AsSpan()), si = MemoryMarshal.Cast<float, Vector<float>>(sumIm.AsSpan());
        for (int k = 0; k < pr.Length; k++)
        {
            sr[k] += (pr[k] * qr[k]) + (pi[k] * qi[k]);
            si[k] += (pr[k] * qi[k]) - (pi[k] * qr[k]);
        }

        // Lengths are powers of two; only one shorter than a vector has a remainder.
        for (int k = pr.Length * Vector<float>.Count; k < ar.Length; k++)
        {
            sumRe[k] += (ar[k] * br[k]) + (ai[k] * bi[k]);
            sumIm[k] += (ar[k] * bi[k]) - (ai[k] * br[k]);
        }
    }

    private static double[] RunningEnergy(OnsetEnvelope envelope, int start, int length)
    {
        double[] energy = new double[length + 1];
        for (int f = 0; f < length; f++)
        {
            double sum = 0;
            for (int c = 0; c < OnsetEnvelope.Channels; c++)
            {
                double v = envelope.Channel(c)[start + f];
                sum += v * v;
            }

            energy[f + 1] = energy[f] + sum;
        }

        return energy;
    }

    private static List<int> HighestPeaks(ReadOnlySpan<float> values, int count, int apart)
    {
        List<int> tops = [];
        PriorityQueue<int, float> queue = new();
        for (int k = 0; k < values.Length; k++)
        {
            if (values[k] > 0 && (k == 0 || values[k] >= values[k - 1]) && (k + 1 == values.Length || values[k] > values[k + 1]))
            {
                queue.Enqueue(k, values[k]);
                if (queue.Count > 8 * count)
                {
                    queue.Dequeue();
                }
            }
        }

        List<int> best = [];
        while (queue.TryDequeue(out int k, out _))
        {
            best.Add(k);
        }

        for (int k = best.Count - 1; k >= 0 && tops.Count < count; k--)
        {
            if (tops.TrueForAll(t => Math.Abs(t - best[k]) > apart))
            {
                tops.Add(best[k]);
            }
        }

        return tops;
    }

    private static List<OffsetCandidate> Lines(List<Peak> peaks, double maximumDriftPpm, int count)
    {
        List<OffsetCandidate> lines = [];
        Dictionary<int, Peak[]> byPiece = peaks.GroupBy(p => p.Piece).ToDictionary(g => g.Key, g => g.ToArray());
        foreach (Peak anchor in peaks.OrderByDescending(p => p.Z).Take(60))
        {
            OffsetCandidate best = Supported(anchor, 0, byPiece);
            foreach (Peak other in peaks)
            {
                double apart = other.AtSeconds - anchor.AtSeconds;
                double ppm = (other.Offset - anchor.Offset) / apart * 1e6;
                if (Math.Abs(apart) > 30 && Math.Abs(ppm) <= maximumDriftPpm + (2 * ResolutionSeconds / Math.Abs(apart) * 1e6))
                {
                    OffsetCandidate line = Supported(anchor, Math.Clamp(ppm, -maximumDriftPpm, maximumDriftPpm), byPiece);
                    best = line.Score > best.Score ? line : best;
                }
            }

            lines.Add(best);
        }

        List<OffsetCandidate> distinct = [];
        foreach (OffsetCandidate line in lines.OrderByDescending(l => l.Score))
        {
            // The same line found from another anchor gives the same offset at both anchors.
            if (distinct.Count < count && distinct.TrueForAll(d =>
                Math.Abs(d.OffsetAt(line.AtSeconds) - line.OffsetSeconds) > ResolutionSeconds
                || Math.Abs(line.OffsetAt(d.AtSeconds) - d.OffsetSeconds) > 2 * ResolutionSeconds))
            {
                distinct.Add(line);
            }
        }

        return distinct;
    }

    // Each piece contributes its highest peak near the line; the remaining range of drift shrinks with the time
    // covered.
    private static OffsetCandidate Supported(Peak anchor, double ppm, Dictionary<int, Peak[]> byPiece)
    {
        double score = 0, from = anchor.AtSeconds, to = anchor.AtSeconds, sum = 0, weights = 0;
        foreach (Peak[] piece in byPiece.Values)
        {
            Peak best = default;
            foreach (Peak p in piece)
            {
                double expected = anchor.Offset + (ppm * 1e-6 * (p.AtSeconds - anchor.AtSeconds));
                if (Math.Abs(p.Offset - expected) <= ResolutionSeconds && p.Z > best.Z)
                {
                    best = p;
                }
            }

            if (best.Z > 0)
            {
                score += best.Z * best.Z;
                from = Math.Min(from, best.AtSeconds);
                to = Math.Max(to, best.AtSeconds);
                sum += best.Z * (best.Offset - (ppm * 1e-6 * (best.AtSeconds - anchor.AtSeconds)));
                weights += best.Z;
            }
        }

        double doubt = to - from > 1 ? 2 * ResolutionSeconds / (to - from) * 1e6 : double.PositiveInfinity;
        return new OffsetCandidate(weights > 0 ? sum / weights : anchor.Offset, anchor.AtSeconds, ppm, doubt, Math.Sqrt(score));
    }
}
