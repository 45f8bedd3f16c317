using Tonematch.Sync.Sound.Arrival;
using Tonematch.Sync.Sound.Candidates;
using Tonematch.Sync.Sound.Signals;
using Tonematch.Sync.Sound.Windows;

namespace Tonematch.Sync.Sound;

/// <summary>Finds the offset and the drift between two recordings of one event from their sound.</summary>
/// <remarks>
/// Onset envelopes give candidate lines over the whole length; each is judged by phase correlation (GCC-PHAT) of
/// sections spread over its overlap; the best one is refined to a fraction of a sample, and a robust line gives the
/// drift. See docs/method/sync.md.
/// </remarks>
public static class SoundSync
{
    /// <summary>Sounds below this length are refused.</summary>
    public const double ShortestSeconds = 1;

    private const int EnvelopeCandidates = 12;
    private const int DirectCandidates = 6;
    private const int WorkingRate = 16000;
    private const int FirstWindows = 4;
    private const int JudgingWindows = 16;
    private const double JudgingLagSeconds = 0.1;
    private const int FinalWindows = 64;
    private const double FinalLagSeconds = 0.02;

    // For unrelated sounds without a common beat, the lower half of the windows stays below 4.
    private const double ClearHalves = 5.6;
    private const double HalvesSlope = 0.45;

    // Calibrated on synthetic cases (sets 0 and 1): the most likely value is 12, and 7 is one standard error below it.
    private const double OddsFactor = 7;

    // The number of lines compared with the best one, section by section.
    private const int MostCompared = 6;

    // Any microphone's own noise is above this level: -90 dB of full scale.
    private const float SilentPeak = 3e-5f;

    // Two peaks of single windows nearer than this are one.
    private const double SamePeakSeconds = 0.004;

    // Two offsets nearer than this are one: the direct sound and its echoes.
    private const double SameOffsetSeconds = 0.025;

    // Only nearly conclusive evidence may overrule the single windows.
    private const double HalvesClear = 6;

    // Height of the pooled peak in a few windows from which a line is examined with more windows.
    private const double PooledWorthMore = 7;

    // Differences between this many of the envelopes' best lines are taken as bars, if they are not shorter than a
    // beat.
    private const int RepeatsFrom = 3;
    private const double ShortestBarSeconds = 0.2;
    private const double RepeatWorthMore = 5;

    // The direct sound is distinguished from the highest peak only if they are at least this far apart.
    private const double LeastDetourSeconds = 0.0003;

    // Accuracy of one section: microphones and people move, and echoes shift a peak slightly.
    private const double WindowPrecisionSeconds = 2e-5;

    /// <summary>Finds the secondary's time offset and drift relative to the primary.</summary>
    /// <param name="primary">The primary's sound, any rate from 4000 samples per second.</param>
    /// <param name="secondary">The secondary's sound; its rate may differ.</param>
    /// <param name="options">Limits and prior knowledge.</param>
    /// <param name="cancel">Cancels the work.</param>
    /// <returns><see cref="SyncFound"/>, or <see cref="SyncRefused"/> with the reason and advice.</returns>
    /// <exception cref="ArgumentException">A rate is below 4000 or an option is outside its range.</exception>
    /// <exception cref="OperationCanceledException">Cancelled.</exception>
    public static SyncResult Synchronise(
        MonoSound primary, MonoSound secondary, SyncOptions? options = null, CancellationToken cancel = default)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentOutOfRangeException.ThrowIfLessThan(primary.SampleRate, 4000, nameof(primary));
        ArgumentOutOfRangeException.ThrowIfLessThan(secondary.SampleRate, 4000, nameof(secondary));
        options ??= new SyncOptions();
        options.Check();
        if (Unusable(primary, "Camera A") is SyncRefused first)
        {
            return first;
        }

        if (Unusable(secondary, "Camera B") is SyncRefused second)
        {
            return second;
        }

        double top = Math.Min(3600, 0.45 * Math.Min(primary.SampleRate, secondary.SampleRate));
        OnsetEnvelope primaryOnsets = OnsetEnvelope.Of(primary, top, cancel);
        OnsetEnvelope secondaryOnsets = OnsetEnvelope.Of(secondary, top, cancel);
        SoundPair pair = new(primary, primaryOnsets, secondary, secondaryOnsets, WorkingRate);
        List<OffsetCandidate> lines = CoarseOffsets.Find(primaryOnsets, secondaryOnsets, options.MaximumDriftPpm, EnvelopeCandidates, cancel);
        int fromEnvelopes = lines.Count;
        lines.AddRange(DirectOffsets.Find(pair, DirectCandidates, lines));
        List<JudgedLine> judged = [];
        foreach (OffsetCandidate line in lines)
        {
            judged.AddRange(Judge(pair, line, judged.Count == 0 ? 0 : judged.Max(j => j.PeakOverChance), options, cancel));
        }

        if (judged.Count == 0)
        {
            return Unrelated(0, new SyncEvidence());
        }

        (JudgedLine best, JudgedLine? rival) = BestAndRival(pair, judged, cancel);
        foreach (OffsetCandidate line in Repeats(best, lines.Take(fromEnvelopes), judged))
        {
            judged.AddRange(Judge(pair, line, best.PeakOverChance, options, cancel, RepeatWorthMore));
        }

        AlignedWindows fine = AlignedWindows.Of(pair, best.Line, FinalWindows, FinalLagSeconds, cancel);
        RefinedLine refined = RefinedLine.Refine(fine, WindowPrecisionSeconds, options.MaximumDriftPpm);

        // Once more along the refined line: peaks near lag 0 are sharper and their parabola has no bias.
        fine = AlignedWindows.Of(pair, refined.ToCandidate(best.Line), FinalWindows, FinalLagSeconds, cancel, pooled: true);
        refined = RefinedLine.Refine(fine, WindowPrecisionSeconds, options.MaximumDriftPpm);
        FirstArrival arrival = FirstArrival.Find(
            fine.Pool!, pair.Rate, TransientArrival.Find(pair, fine.Line, fine.FromSeconds, fine.ToSeconds, cancel));
        double total = TotalEvidence(best, refined);
        JudgedLine? pooledRival = judged.Where(j => !best.IsNear(j, SameOffsetSeconds)).MaxBy(j => j.PooledRivalry(best));
        double peakRivalry = rival?.Rivalry(best) ?? 0, pooledRivalry = pooledRival?.PooledRivalry(best) ?? 0;

        // Either the pooled windows in each half, or the peaks of single windows, may be conclusive.
        double fromWindows = Logistic((best.HalvesOverChance - ClearHalves) / HalvesSlope), fromPeaks = Logistic((total - 11) / 0.9);
        double withoutRival = Logistic((0.5 - pooledRivalry) / 0.05);
        double together = fromWindows * withoutRival, singly = fromPeaks * withoutRival * Logistic((0.75 - peakRivalry) / 0.06);
        double confidence = Calibrated(Math.Max(together, singly));
        (double nextBest, rival) = peakRivalry > pooledRivalry && singly > together ? (peakRivalry, rival) : (pooledRivalry, pooledRival);
        double start = secondary.StartSeconds - primary.StartSeconds;
        double travel = SoundTravel.OffsetSeconds(options.PrimaryMicDistanceMetres, options.SecondaryMicDistanceMetres);
        SyncEvidence evidence = new()
        {
            OverlapSeconds = fine.ToSeconds - fine.FromSeconds,
            OverlapStartSeconds = primary.StartSeconds + fine.FromSeconds,
            Windows = fine.Count,
            AgreeingWindows = refined.AgreeingWindows,
            PeakOverChance = best.PeakOverChance,
            NextBest = nextBest,
            NextBestOffsetSeconds = rival is null ? null : start + rival.Line.OffsetAt(-primary.StartSeconds) - travel,
            OffsetErrorSeconds = Math.Max(refined.OffsetError, arrival.DoubtSeconds),
            PooledOverChance = best.PooledOverChance,
            HalvesOverChance = best.HalvesOverChance,
            DriftErrorPpm = refined.DriftErrorPpm,
            ResidualSeconds = refined.MedianResidual,
            SoundTravelSeconds = travel,
        };
        if (confidence < options.MinimumConfidence)
        {
            return Calibrated(Math.Max(fromWindows, fromPeaks)) < options.MinimumConfidence ? Unrelated(confidence, evidence) : Repeating(confidence, evidence);
        }

        double atMiddle = (fine.FromSeconds + fine.ToSeconds) / 2;
        double detour = arrival.LagSeconds - (refined.OffsetAt(atMiddle) - fine.Line.OffsetAt(atMiddle));
        double offset = start + refined.OffsetAt(-primary.StartSeconds) - travel + (Math.Abs(detour) > LeastDetourSeconds ? detour : 0);
        return new SyncFound(offset, refined.DriftPpm, confidence, SyncMethod.Sound, evidence)
        {
            Warnings = SyncWarnings.For(refined.DriftPpm, evidence, options),
        };
    }

    // The height of the summed peak plus the improbability that separate windows agree by chance: in an echoing room
    // the first is low, with a single clap the second.
    private static double TotalEvidence(JudgedLine line, RefinedLine refined) =>
        line.PeakOverChance + Math.Min(5, 0.6 * refined.AgreementSurprise);

    // A few windows first: a line near chance in them cannot approach a clear best one with more.
    private static IEnumerable<JudgedLine> Judge(
        SoundPair pair, OffsetCandidate line, double bestSoFar, SyncOptions options, CancellationToken cancel, double worthMore = PooledWorthMore)
    {
        AlignedWindows few = AlignedWindows.Of(pair, line, FirstWindows, JudgingLagSeconds, cancel);
        if (few.Count == 0)
        {
            return [];
        }

        JudgedLine[] first = [.. JudgedLine.Judge(few, options.MaximumDriftPpm, SamePeakSeconds)];
        if (few.Count < FirstWindows
            || (first.Max(j => j.PeakOverChance) < Math.Min(7, 0.25 * bestSoFar) && first[0].PooledOverChance < worthMore))
        {
            return first;
        }

        AlignedWindows all = AlignedWindows.Of(pair, line, JudgingWindows, JudgingLagSeconds, cancel);
        return JudgedLine.Judge(all, options.MaximumDriftPpm, SamePeakSeconds);
    }

    // Two loops at one tempo fit at every bar, but the candidates may lack the neighbours of the line that fits best by
    // chance. The envelopes' best lines lie whole bars apart: a true fit must not fit equally well that much earlier or
    // later.
    private static OffsetCandidate[] Repeats(JudgedLine best, IEnumerable<OffsetCandidate> envelopes, List<JudgedLine> judged)
    {
        double middle = best.MiddleSeconds;
        double[] offsets = [.. envelopes.OrderByDescending(l => l.Score).Take(RepeatsFrom).Select(l => l.OffsetAt(middle))];
        return
        [
            .. offsets.Skip(1).Select(o => Math.Abs(o - offsets[0])).Where(apart => apart > ShortestBarSeconds)
                .SelectMany(apart => new[] { -apart, apart })
                .Select(apart => best.Line with { OffsetSeconds = best.Line.OffsetSeconds + apart })
                .Where(line => judged.TrueForAll(j => Math.Abs(j.Line.OffsetAt(middle) - line.OffsetAt(middle)) > SameOffsetSeconds)),
        ];
    }

    // The highest line, unless another one beats it section by section; and the strongest rival that it does not beat.
    private static (JudgedLine Best, JudgedLine? Rival) BestAndRival(SoundPair pair, List<JudgedLine> judged, CancellationToken cancel)
    {
        // Echoing rooms leave little in single windows; if the pooled windows clearly favour another line, that one is
        // taken.
        JudgedLine best = judged.MaxBy(j => j.PeakOverChance)!, together = judged.MaxBy(j => j.HalvesOverChance)!;
        best = together.HalvesOverChance > Math.Max(HalvesClear, 1.5 * best.HalvesOverChance) ? together : best;
        List<JudgedLine> near = [.. judged.Where(j => !best.IsNear(j, SameOffsetSeconds) && j.Rivalry(best) > 0.4)
            .OrderByDescending(j => j.PeakOverChance).Take(MostCompared)];
        JudgedLine first = best;
        foreach (JudgedLine other in near)
        {
            best = PairedComparison.Of(pair, best.Line, other.Line, cancel).SecondIsBetter ? other : best;
        }

        JudgedLine? rival = judged.Append(first)
            .Where(j => !best.IsNear(j, SameOffsetSeconds) && (j.Rivalry(best) <= 0.4 || !near.Append(first).Contains(j)
                || !PairedComparison.Of(pair, best.Line, j.Line, cancel).FirstIsBetter))
            .MaxBy(j => j.Rivalry(best));
        return (best, rival);
    }

    // Multiplies the odds by a constant, so that the number equals the share of correct results.
    private static double Calibrated(double confidence) => confidence * OddsFactor / (1 - confidence + (confidence * OddsFactor));

    private static double Logistic(double x) => 1 / (1 + Math.Exp(-x));

    private static SyncRefused? Unusable(MonoSound sound, string name)
    {
        if (sound.DurationSeconds < ShortestSeconds)
        {
            return new SyncRefused(
                SyncRefusal.TooShort,
                FormattableString.Invariant($"{name}'s sound lasts {sound.DurationSeconds:0.00} s; at least {ShortestSeconds:0} s is needed."),
                "Give clips that run together for 10 seconds or more.",
                0, new SyncEvidence());
        }

        return IsHeard(sound)
            ? null
            : new SyncRefused(
                SyncRefusal.Silent,
                $"{name}'s sound is silent.",
                "Choose another audio track of the clip if it has one (--audio-track).",
                0, new SyncEvidence());
    }

    // Louder than silence somewhere, and not a constant value.
    private static bool IsHeard(MonoSound sound)
    {
        float[] samples = new float[1 << 14];
        sound.Read(0, samples.AsSpan(0, 1));
        float first = samples[0];
        bool loud = false, varies = false;
        for (int at = 0; at < sound.Length && !(loud && varies); at += samples.Length)
        {
            Span<float> part = samples.AsSpan(0, Math.Min(samples.Length, sound.Length - at));
            sound.Read(at, part);
            loud |= part.ContainsAnyExceptInRange(-SilentPeak, SilentPeak);
            varies |= part.ContainsAnyExcept(first);
        }

        return loud && varies;
    }

    private static SyncRefused Unrelated(double confidence, SyncEvidence evidence) => new(
        SyncRefusal.Unrelated,
        "The two sounds have nothing in common by which to line up the recordings.",
        "Check that both clips record the same event at the same time; clap once in view of both cameras next time.",
        confidence, evidence);

    private static SyncRefused Repeating(double confidence, SyncEvidence evidence) => new(
        SyncRefusal.Repeating,
        "The two sounds fit equally well at two places, as music with a steady beat does.",
        "Give a longer part of both clips, with speech or a clap in it.",
        confidence, evidence);
}
