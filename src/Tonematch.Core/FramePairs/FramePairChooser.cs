using System.Collections.Immutable;
using Tonematch.Numerics;
using Tonematch.Sync;

namespace Tonematch.FramePairs;

/// <summary>Chooses moments at which both cameras have a frame suitable for measuring colour.</summary>
public static class FramePairChooser
{
    // Motion that halves the quality, code values.
    private const double StillMotion = 0.01;

    private sealed record Candidate(FrameLook Primary, FrameLook Secondary, double TimeError, double Quality, string? Fault)
    {
        public int State { get; init; }
    }

    /// <summary>
    /// Chooses pairs: sharp, still and unclipped in both clips, every lighting state covered, spread over the time both
    /// share. Deterministic. Times are the clips' own presentation times, so different and variable rates need no
    /// special treatment.
    /// </summary>
    /// <param name="primary">Measurements of the primary's frames, times ascending.</param>
    /// <param name="secondary">Measurements of the secondary's frames, times ascending; they should include the frame nearest to each primary frame.</param>
    /// <param name="sync">The alignment of the secondary's time to the primary's.</param>
    /// <param name="options">Count, limits, and times given by hand.</param>
    /// <exception cref="ArgumentException">Times are not ascending, or an option is outside its range.</exception>
    public static FramePairChoice Choose(
        IReadOnlyList<FrameLook> primary, IReadOnlyList<FrameLook> secondary, SyncFound sync, FramePairOptions? options = null)
    {
        ArgumentNullException.ThrowIfNull(primary);
        ArgumentNullException.ThrowIfNull(secondary);
        ArgumentNullException.ThrowIfNull(sync);
        options ??= new FramePairOptions();
        options.Check();
        CheckRising(primary, nameof(primary));
        CheckRising(secondary, nameof(secondary));
        return options.AtSeconds.IsDefaultOrEmpty
            ? ByMerit(primary, secondary, sync, options)
            : ByHand(primary, secondary, sync, options);
    }

    /// <summary>The frame whose presentation time is nearest; of two equally near, the earlier one.</summary>
    /// <returns>Its index, or -1 when there is none.</returns>
    public static int Nearest(IReadOnlyList<FrameLook> frames, double seconds)
    {
        ArgumentNullException.ThrowIfNull(frames);
        int low = 0, high = frames.Count;
        while (low < high)
        {
            int middle = (low + high) / 2;
            (low, high) = frames[middle].Seconds < seconds ? (middle + 1, high) : (low, middle);
        }

        return low == 0 ? frames.Count - 1 < 0 ? -1 : 0
            : low == frames.Count || seconds - frames[low - 1].Seconds <= frames[low].Seconds - seconds ? low - 1 : low;
    }

    private static FramePairChoice ByMerit(
        IReadOnlyList<FrameLook> primary, IReadOnlyList<FrameLook> secondary, SyncFound sync, FramePairOptions options)
    {
        SortedDictionary<string, int> rejected = new(StringComparer.Ordinal);
        List<Candidate> candidates = Candidates(primary, secondary, sync, options, rejected);
        List<string> warnings = [];
        List<Candidate> good = candidates.FindAll(c => c.Fault is null);
        if (good.Count == 0 && candidates.Count > 0)
        {
            warnings.Add("At no shared moment are both pictures sharp, still and well exposed; the least bad ones were taken. Film a second or two with both cameras still.");
            good = candidates;
        }
        else
        {
            foreach (Candidate c in candidates.Where(c => c.Fault is not null))
            {
                Count(rejected, c.Fault!);
            }
        }

        if (candidates.Count == 0)
        {
            warnings.Add("The clips share no moment at this offset; check the offset, or give clips that run together.");
            return new FramePairChoice([], 0, rejected.ToImmutableSortedDictionary(StringComparer.Ordinal)) { Warnings = [.. warnings] };
        }

        good = WithLightStates(good, options.LightStateDeltaE);
        int states = good.Max(c => c.State);
        List<Candidate> chosen = Spread(good, states, options);
        foreach (Candidate _ in good.Except(chosen))
        {
            Count(rejected, "not needed");
        }

        if (states > chosen.Select(c => c.State).Distinct().Count())
        {
            warnings.Add(FormattableString.Invariant(
                $"The shared time has {states} lighting states, more than the {options.Count} pairs asked for; the shortest ones are not covered."));
        }

        ImmutableArray<FramePair> pairs = [.. chosen.OrderBy(c => c.Primary.Seconds).Select(c => Pair(c, Why(c, good, states)))];
        return new FramePairChoice(pairs, states, rejected.ToImmutableSortedDictionary(StringComparer.Ordinal)) { Warnings = [.. warnings] };
    }

    private static FramePairChoice ByHand(
        IReadOnlyList<FrameLook> primary, IReadOnlyList<FrameLook> secondary, SyncFound sync, FramePairOptions options)
    {
        SortedDictionary<string, int> rejected = new(StringComparer.Ordinal);
        List<string> warnings = [];
        List<Candidate> taken = [];
        foreach (double at in options.AtSeconds)
        {
            int nearest = Nearest(primary, at);
            List<Candidate> found = nearest < 0 ? [] : Candidates([primary[nearest]], secondary, sync, options, rejected, primary);
            if (found.Count == 0 || Math.Abs(primary[nearest].Seconds - at) > 0.5)
            {
                warnings.Add(FormattableString.Invariant($"At {at:0.000} s the clips do not both have a frame; this time was left out."));
                continue;
            }

            taken.Add(found[0]);
            if (found[0].Fault is string fault)
            {
                warnings.Add(FormattableString.Invariant($"The frame at {found[0].Primary.Seconds:0.000} s, taken as given, is {fault} in at least one clip."));
            }
        }

        if (taken.Count == 0)
        {
            return new FramePairChoice([], 0, rejected.ToImmutableSortedDictionary(StringComparer.Ordinal)) { Warnings = [.. warnings] };
        }

        taken = WithLightStates([.. taken.DistinctBy(c => c.Primary.Seconds).OrderBy(c => c.Primary.Seconds)], options.LightStateDeltaE);
        return new FramePairChoice(
            [.. taken.Select(c => Pair(c, "given by hand"))], taken.Max(c => c.State),
            rejected.ToImmutableSortedDictionary(StringComparer.Ordinal))
        { Warnings = [.. warnings] };
    }

    private static FramePair Pair(Candidate c, string why) => new(c.Primary, c.Secondary, c.TimeError, c.State, c.Quality, why);

    private static List<Candidate> Candidates(
        IReadOnlyList<FrameLook> primary, IReadOnlyList<FrameLook> secondary, SyncFound sync, FramePairOptions options,
        SortedDictionary<string, int> rejected, IReadOnlyList<FrameLook>? wholePrimary = null)
    {
        List<Candidate> candidates = [];
        if (secondary.Count == 0)
        {
            return candidates;
        }

        Limits first = Limits.Of(wholePrimary ?? primary, options), second = Limits.Of(secondary, options);
        foreach (FrameLook p in primary)
        {
            double wanted = sync.SecondaryTime(p.Seconds);
            FrameLook s = secondary[Nearest(secondary, wanted)];
            double error = s.Seconds - wanted;
            if (Math.Abs(error) > options.MaximumTimeErrorSeconds)
            {
                Count(rejected, wanted < secondary[0].Seconds || wanted > secondary[^1].Seconds ? "outside the overlap" : "no frame near");
                continue;
            }

            // A time error matters in proportion to motion.
            double moved = (p.Motion ?? 0) + (s.Motion ?? 0);
            double quality = first.Quality(p) * second.Quality(s) / (1 + (Math.Abs(error) / options.MaximumTimeErrorSeconds * moved / StillMotion * 0.25));
            candidates.Add(new Candidate(p, s, error, quality, first.Fault(p) ?? second.Fault(s)));
        }

        return candidates;
    }

    private static List<Candidate> WithLightStates(List<Candidate> candidates, double deltaE)
    {
        // In time order, a frame joins the nearest known state or begins a new one. A state's centre is the mean of its
        // frames.
        List<(double[] Sum, int Count)> states = [];
        List<Candidate> result = [];
        foreach (Candidate c in candidates)
        {
            double[] place = [c.Primary.MeanLightness, c.Primary.MeanA, c.Primary.MeanB, c.Secondary.MeanLightness, c.Secondary.MeanA, c.Secondary.MeanB];
            int best = -1;
            double nearest = deltaE;
            for (int k = 0; k < states.Count; k++)
            {
                double d = Math.Max(Distance(place, states[k], 0), Distance(place, states[k], 3));
                (best, nearest) = d <= nearest ? (k, d) : (best, nearest);
            }

            if (best < 0)
            {
                best = states.Count;
                states.Add((place, 1));
            }
            else
            {
                states[best] = ([.. states[best].Sum.Zip(place, (a, b) => a + b)], states[best].Count + 1);
            }

            result.Add(c with { State = best + 1 });
        }

        return result;

        static double Distance(double[] place, (double[] Sum, int Count) state, int from)
        {
            double sum = 0;
            for (int k = from; k < from + 3; k++)
            {
                double d = place[k] - (state.Sum[k] / state.Count);
                sum += d * d;
            }

            return Math.Sqrt(sum);
        }
    }

    // States take turns, the most frequent first; within a state, quality is weighed against nearness to frames already
    // chosen.
    private static List<Candidate> Spread(List<Candidate> good, int states, FramePairOptions options)
    {
        double span = Math.Max(1e-9, good[^1].Primary.Seconds - good[0].Primary.Seconds);
        int[] order = [.. Enumerable.Range(1, states).OrderByDescending(s => good.Count(c => c.State == s)).ThenBy(s => s)];
        List<Candidate> chosen = [];
        bool[] exhausted = new bool[states];
        for (int turn = 0; chosen.Count < options.Count && exhausted.Contains(false); turn++)
        {
            int state = order[turn % states];
            Candidate? best = null;
            double bestScore = 0;
            foreach (Candidate c in good)
            {
                double apart = chosen.Count == 0 ? span : chosen.Min(o => Math.Abs(o.Primary.Seconds - c.Primary.Seconds));
                double score = c.Quality * Math.Sqrt(Math.Min(1, apart * options.Count / span));
                if (c.State == state && (chosen.Count == 0 || apart >= options.SpacingSeconds) && score > bestScore)
                {
                    (best, bestScore) = (c, score);
                }
            }

            if (best is null)
            {
                exhausted[state - 1] = true;
            }
            else
            {
                chosen.Add(best);
            }
        }

        return chosen;
    }

    private static string Why(Candidate c, List<Candidate> good, int states)
    {
        Candidate[] same = [.. good.Where(o => o.State == c.State)];
        int better = same.Count(o => o.Quality > c.Quality);
        string place = states == 1 ? "" : FormattableString.Invariant($" of lighting state {c.State} of {states}");
        string rank = better == 0 ? $"the sharpest and stillest moment{place}"
            : FormattableString.Invariant($"sharp and still (number {better + 1} of {same.Length}{place}), away from the other pairs");
        return FormattableString.Invariant($"{rank}; frames {Math.Abs(c.TimeError) * 1000:0.0} ms apart");
    }

    private static void Count(SortedDictionary<string, int> rejected, string reason) =>
        rejected[reason] = rejected.GetValueOrDefault(reason) + 1;

    private static void CheckRising(IReadOnlyList<FrameLook> frames, string name)
    {
        for (int k = 1; k < frames.Count; k++)
        {
            if (!(frames[k].Seconds > frames[k - 1].Seconds))
            {
                throw new ArgumentException("The frames' times must rise.", name);
            }
        }
    }

    // Usual values of one clip.
    private sealed record Limits(double MedianSharpness, double MostMotion, FramePairOptions Options)
    {
        public static Limits Of(IReadOnlyList<FrameLook> frames, FramePairOptions options)
        {
            double[] motions = [.. frames.Where(f => f.Motion.HasValue).Select(f => f.Motion!.Value)];
            return new Limits(
                Median.Of(frames.Select(f => f.Sharpness)),
                Math.Max(options.MaximumMotion, Median.Of(motions)), options);
        }

        public string? Fault(FrameLook f) =>
            f.ClippedShare > Options.MaximumClippedShare ? "clipped"
            : f.DarkShare > Options.MaximumDarkShare ? "dark"
            : f.Sharpness < Options.MinimumSharpness * MedianSharpness ? "blurred"
            : f.Motion > MostMotion ? "moving"
            : null;

        // Sharpness counts up to twice the usual; more is more likely noise than focus.
        public double Quality(FrameLook f) =>
            Math.Clamp(MedianSharpness > 0 ? f.Sharpness / (2 * MedianSharpness) : 0.5, 0.01, 1)
            * (1 / (1 + ((f.Motion ?? 0) / StillMotion)))
            * Math.Max(0.01, 1 - f.ClippedShare) * Math.Max(0.01, 1 - f.DarkShare);
    }
}
