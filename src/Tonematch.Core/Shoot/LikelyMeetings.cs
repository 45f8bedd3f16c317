using System.Numerics;
using Tonematch.Numerics;
using Tonematch.Sync.Sound.Signals;

namespace Tonematch.Shoot;

/// <summary>
/// Finds which clips of different cameras recorded the same sound, without comparing every pair of files: the clips of
/// a camera are lined up in one long row, and pieces of one camera's row are correlated with the whole of another's.
/// </summary>
/// <remarks>
/// A piece is up to four minutes, of one clip or of several short ones, so the number of transforms depends only on the
/// total length of sound. The highest lags of a piece are examined clip by clip, because only there the overlap is
/// known, and with it the height that chance reaches. For the shortest overlap found see docs/method/shoot.md.
/// </remarks>
public static class LikelyMeetings
{
    /// <summary>The shortest overlap that is searched for, seconds.</summary>
    public const double ShortestOverlapSeconds = 4;

    private const int Rate = OnsetEnvelope.FramesPerSecond;
    private const int PieceFrames = 240 * Rate;

    // The gap between clips in a row, so that no peak of one clip reaches into the next.
    private const int GapFrames = Rate / 2;

    // The number of lags of a piece that are examined clip by clip; a beat alone gives dozens for each true pair.
    private const int LagsPerPiece = 800;

    // Among the few hundred lags and pairs examined, standard normal values above this are rare enough to be worth a
    // full comparison.
    private const double LeastScore = 6;

    // Two offsets of a pair that differ by less than this, plus possible clock drift, are the same offset found by two
    // pieces.
    private const double SameOffsetSeconds = 0.1;
    private const double LargestDrift = 300e-6;

    private const int OffsetsPerPair = 2;
    private const int MeetingsPerClip = 12;

    private readonly record struct Stretch(int Clip, int ClipFrame, int RowFrame, int Frames);

    /// <summary>Finds likely meetings.</summary>
    /// <param name="clips">All clips of the shoot.</param>
    /// <param name="outlines">As many, in the same order; null for a clip without sound.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns>The most likely first.</returns>
    /// <exception cref="ArgumentException">The numbers of clips and outlines differ.</exception>
    public static IReadOnlyList<LikelyMeeting> Find(
        IReadOnlyList<ShootClip> clips, IReadOnlyList<SoundOutline?> outlines, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(clips);
        ArgumentNullException.ThrowIfNull(outlines);
        if (clips.Count != outlines.Count)
        {
            throw new ArgumentException("There must be one outline, or null, for each clip.", nameof(outlines));
        }

        int[][] cameras = [.. Enumerable.Range(0, clips.Count).Where(i => outlines[i] is not null)
            .GroupBy(i => clips[i].Camera, StringComparer.Ordinal).Select(g => g.ToArray())];
        List<LikelyMeeting> found = [];
        for (int a = 0; a < cameras.Length; a++)
        {
            for (int b = a + 1; b < cameras.Length; b++)
            {
                // The shorter row is cut into pieces, so that there are fewer of them.
                bool swap = Frames(cameras[a]) > Frames(cameras[b]);
                found.AddRange(Between(swap ? cameras[b] : cameras[a], swap ? cameras[a] : cameras[b], outlines, cancel));
            }
        }

        List<LikelyMeeting> kept = [];
        int[] count = new int[clips.Count];
        foreach (LikelyMeeting meeting in found.OrderByDescending(m => m.Score))
        {
            if (count[meeting.First] < MeetingsPerClip && count[meeting.Second] < MeetingsPerClip)
            {
                count[meeting.First]++;
                count[meeting.Second]++;
                kept.Add(meeting);
            }
        }

        return kept;

        int Frames(int[] some) => some.Sum(i => outlines[i]!.Onsets.Frames);
    }

    private static IEnumerable<LikelyMeeting> Between(
        int[] queries, int[] targets, IReadOnlyList<SoundOutline?> outlines, CancellationToken cancel)
    {
        List<Stretch> row = [];
        int length = 0;
        foreach (int clip in targets)
        {
            row.Add(new Stretch(clip, 0, length, outlines[clip]!.Onsets.Frames));
            length += outlines[clip]!.Onsets.Frames + GapFrames;
        }

        int size = (int)BitOperations.RoundUpToPowerOf2((uint)(length + PieceFrames));
        FourierTransform transform = FourierTransform.OfSize(size);
        (float[] Re, float[] Im)[] spectra = [.. Enumerable.Range(0, OnsetEnvelope.Channels / 2).Select(c => Spectrum(row, c, outlines, transform))];
        List<Stretch>[] pieces = [.. Pieces(queries, outlines)];
        Dictionary<(int, int), List<Sighting>> sightings = [];
        foreach (List<Stretch> piece in pieces)
        {
            cancel.ThrowIfCancellationRequested();
            foreach ((int lag, float _) in HighestLags(piece, spectra, outlines, transform, length))
            {
                foreach (Stretch q in piece)
                {
                    foreach (Stretch t in row)
                    {
                        // Only if the piece's section lies over this clip at this lag.
                        if (Near(outlines[q.Clip]!.Onsets, q, outlines[t.Clip]!.Onsets, t, lag) is { } sighting)
                        {
                            if (!sightings.TryGetValue((q.Clip, t.Clip), out List<Sighting>? list))
                            {
                                sightings[(q.Clip, t.Clip)] = list = [];
                            }

                            list.Add(sighting);
                        }
                    }
                }
            }
        }

        foreach (((int query, int target), List<Sighting> list) in sightings)
        {
            foreach ((double offset, double score) in Offsets(list))
            {
                (SoundOutline q, SoundOutline t) = (outlines[query]!, outlines[target]!);
                double between = offset + t.StartSeconds - q.StartSeconds;
                (int first, int second, double sign) = query < target ? (query, target, 1.0) : (target, query, -1.0);
                (SoundOutline one, SoundOutline other) = query < target ? (q, t) : (t, q);
                double o = sign * between;
                double from = Math.Max(one.StartSeconds, other.StartSeconds - o);
                double to = Math.Min(one.StartSeconds + one.DurationSeconds, other.StartSeconds + other.DurationSeconds - o);
                if (to - from >= ShortestOverlapSeconds)
                {
                    yield return new LikelyMeeting(first, second, o, from, to, score);
                }
            }
        }
    }

    private readonly record struct Sighting(int QueryFrame, double Offset, double Score);

    private static IEnumerable<List<Stretch>> Pieces(int[] clips, IReadOnlyList<SoundOutline?> outlines)
    {
        List<Stretch> piece = [];
        int filled = 0;
        foreach (int clip in clips)
        {
            int frames = outlines[clip]!.Onsets.Frames;
            for (int done = 0; done < frames;)
            {
                int take = Math.Min(frames - done, PieceFrames - filled);
                piece.Add(new Stretch(clip, done, filled, take));
                (done, filled) = (done + take, filled + take + GapFrames);
                if (filled >= PieceFrames)
                {
                    yield return piece;
                    (piece, filled) = ([], 0);
                }
            }
        }

        if (piece.Count > 0)
        {
            yield return piece;
        }
    }

    // Two channels in one complex signal: the real part of its correlation is the sum of both channels'.
    private static (float[] Re, float[] Im) Spectrum(
        List<Stretch> row, int pair, IReadOnlyList<SoundOutline?> outlines, FourierTransform transform)
    {
        float[] re = new float[transform.Size], im = new float[transform.Size];
        foreach (Stretch s in row)
        {
            OnsetEnvelope onsets = outlines[s.Clip]!.Onsets;
            onsets.Channel(2 * pair).Slice(s.ClipFrame, s.Frames).CopyTo(re.AsSpan(s.RowFrame));
            onsets.Channel((2 * pair) + 1).Slice(s.ClipFrame, s.Frames).CopyTo(im.AsSpan(s.RowFrame));
        }

        transform.Forward(re, im);
        return (re, im);
    }

    private static List<(int Lag, float Height)> HighestLags(
        List<Stretch> piece, (float[] Re, float[] Im)[] spectra, IReadOnlyList<SoundOutline?> outlines, FourierTransform transform, int targetFrames)
    {
        int size = transform.Size;
        float[] sumRe = new float[size], sumIm = new float[size];
        for (int c = 0; c < spectra.Length; c++)
        {
            (float[] re, float[] im) = Spectrum(piece, c, outlines, transform);
            (float[] tr, float[] ti) = spectra[c];
            for (int k = 0; k < size; k++)
            {
                sumRe[k] += (re[k] * tr[k]) + (im[k] * ti[k]);
                sumIm[k] += (re[k] * ti[k]) - (im[k] * tr[k]);
            }
        }

        transform.InverseUnscaled(sumRe, sumIm);

        // A lag is scored by its height relative to chance for its overlap: the energy of a section is close to its
        // length, since the envelopes are normalised over eight seconds.
        int pieceFrames = piece[^1].RowFrame + piece[^1].Frames, shortest = (int)(ShortestOverlapSeconds * Rate);
        PriorityQueue<int, float> highest = new();
        for (int lag = shortest - pieceFrames; lag <= targetFrames - shortest; lag++)
        {
            float here = At(lag);
            if (here > 0 && here >= At(lag - 1) && here > At(lag + 1))
            {
                int overlap = Math.Min(targetFrames, lag + pieceFrames) - Math.Max(0, lag);
                float height = here / MathF.Sqrt(overlap);
                if (highest.Count < LagsPerPiece)
                {
                    highest.Enqueue(lag, height);
                }
                else
                {
                    highest.EnqueueDequeue(lag, height);
                }
            }
        }

        List<(int, float)> result = [];
        while (highest.TryDequeue(out int lag, out float height))
        {
            result.Add((lag, height));
        }

        return result;

        float At(int lag) => sumRe[lag < 0 ? lag + size : lag >= size ? lag - size : lag];
    }

    // The correlation at a lag, over this section and this clip only; null below chance.
    private static Sighting? Near(OnsetEnvelope query, Stretch q, OnsetEnvelope target, Stretch t, int lag)
    {
        // Query frame f of the section lies over row frame lag + q.RowFrame + f.
        int shift = lag + q.RowFrame - t.RowFrame;
        int from = Math.Max(0, -shift), to = Math.Min(q.Frames, t.Frames - shift);
        if (to - from < ShortestOverlapSeconds * Rate)
        {
            return null;
        }

        double height = Correlation(query, q.ClipFrame + from, target, t.ClipFrame + shift + from, to - from);
        return height >= LeastScore ? new Sighting(q.ClipFrame + ((from + to) / 2), (double)(t.ClipFrame + shift - q.ClipFrame) / Rate, height) : null;
    }

    // Normalised, times the root of the number of values: a standard normal deviate for unrelated sounds.
    private static double Correlation(OnsetEnvelope query, int queryFrom, OnsetEnvelope target, int targetFrom, int frames)
    {
        int skip = Math.Max(0, -targetFrom);
        int count = Math.Min(frames, target.Frames - targetFrom) - skip;
        if (count <= 0)
        {
            return double.NegativeInfinity;
        }

        double product = 0, first = 0, second = 0;
        for (int c = 0; c < OnsetEnvelope.Channels; c++)
        {
            ReadOnlySpan<float> x = query.Channel(c).Slice(queryFrom + skip, count), y = target.Channel(c).Slice(targetFrom + skip, count);
            product += Dot(x, y);
            first += Dot(x, x);
            second += Dot(y, y);
        }

        return first > 0 && second > 0 ? product / Math.Sqrt(first * second) * Math.Sqrt((double)count * OnsetEnvelope.Channels) : double.NegativeInfinity;
    }

    private static double Dot(ReadOnlySpan<float> x, ReadOnlySpan<float> y)
    {
        Vector<float> sum = Vector<float>.Zero;
        int k = 0;
        for (; k + Vector<float>.Count <= x.Length; k += Vector<float>.Count)
        {
            sum += new Vector<float>(x[k..]) * new Vector<float>(y[k..]);
        }

        double all = Vector.Sum(sum);
        for (; k < x.Length; k++)
        {
            all += x[k] * y[k];
        }

        return all;
    }

    // Findings from several pieces of one clip at one offset support each other.
    private static List<(double Offset, double Score)> Offsets(List<Sighting> sightings)
    {
        List<(Sighting Best, double Score)> result = [];
        foreach (Sighting s in sightings.OrderByDescending(s => s.Score))
        {
            if (result.Count < OffsetsPerPair && result.TrueForAll(r => !AreOne(r.Best, s)))
            {
                double score = Math.Sqrt(sightings.Where(o => AreOne(o, s))
                    .GroupBy(o => o.QueryFrame / PieceFrames).Sum(g => g.Max(o => o.Score) * g.Max(o => o.Score)));
                result.Add((s, score));
            }
        }

        // A second offset counts only if it comes close to the first; a beat gives half of it at every bar.
        return [.. result.Where(r => r.Score >= 0.75 * result.Max(o => o.Score)).Select(r => (r.Best.Offset, r.Score))];

        static bool AreOne(Sighting a, Sighting b) =>
            Math.Abs(a.Offset - b.Offset) <= SameOffsetSeconds + (LargestDrift * Math.Abs(a.QueryFrame - b.QueryFrame) / Rate);
    }
}
