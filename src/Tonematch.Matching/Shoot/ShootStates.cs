using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Checking;
using Tonematch.Colour;
using Tonematch.Drift;
using Tonematch.Fitting;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Stages.Check;
using Tonematch.Samples;
using Tonematch.Shoot;
using Tonematch.States;

namespace Tonematch.Matching.Shoot;

/// <summary>
/// Examines a matched camera over the whole shoot, through the correction from one pair of clips: whether lighting
/// states need their own corrections, and whether its other clips drift too.
/// </summary>
internal static class ShootStates
{
    // Pairs besides the longest; each is checked the quick way.
    private const int MostPairs = 12;

    // So many instants of a short pair show its level and whether it moves; what moves is then followed in every frame.
    private const int InstantsAPair = 6;

    // Fewer samples than this do not support a correction for a state; more are searched for at this many of its
    // instants.
    private const int FewestSamples = 24;
    private const int InstantsAState = 4;

    private sealed record Seen(int First, int Second, InstantFigures Figures, double ShootSeconds)
    {
        public LightInstant Light => new(ShootSeconds, Figures.ExposureStops, Figures.RedGreenStops, Figures.BlueGreenStops);
    }

    // Colours of known places at an instant of another pair, the secondary as recorded.
    private sealed record Followed(int First, int Second, DriftInstant Instant);

    /// <summary>The match with lighting states and drifts, where there are any.</summary>
    /// <param name="places">The places of all clips in time.</param>
    /// <param name="reference">The camera it was matched to.</param>
    /// <param name="match">The match of the longest pair.</param>
    /// <param name="settings">The settings of each match.</param>
    /// <param name="findsStates">Whether to look for lighting states too, not only for clips that drift.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<CameraMatch> RunAsync(
        ShootPlaces places, ShootCamera reference, CameraMatch match, MatchRequest settings, bool findsStates, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        MatchOutcome main = match.Outcome!;
        Lut3D lut = main.Chosen.Lut;
        CodeRgb Correct(CodeRgb code) => LutInterpolation.Tetrahedral(lut, code);
        List<Seen> seen = [.. (main.OverTime?.OverTime ?? []).Select(f => new Seen(match.PrimaryClip, match.SecondaryClip, f, places.Times.Clips[match.PrimaryClip].ShootTime(f.PrimarySeconds)))];
        Dictionary<int, DriftOutcome> drifts = main.Drift is { } own ? new() { [match.SecondaryClip] = own } : [];
        List<Followed> followed = [];

        // Cameras that stood still see the same things in their next clips: nothing is searched for again.
        KnownPlaces known = KnownPlaces.Of(main.Clips?.Frames ?? [], main.Samples);
        foreach ((int first, int second) in OtherPairs(places, reference, match))
        {
            try
            {
                SyncedClips clips = places.Synced(first, second, settings);
                CheckStage check = new(clips, settings.InShares(clips.Primary, clips.Secondary), Correct, MatchCheck.UsualTolerance, known) { KeepsFollowed = true, FewestInstants = InstantsAPair };
                if (await check.RunAsync(everyFrame: false, progress, cancel) is not { } over || over.Method == SamplingMethod.Overall)
                {
                    continue;
                }

                followed.AddRange(over.Followed.Select(i => new Followed(first, second, i)));
                if (!drifts.ContainsKey(second) && (main.Drift is not null || (over.Result.MayWander && DriftStage.Against(over.Followed, clips, Correct) is not null)))
                {
                    // A drift is corrected in every frame, so every frame is followed.
                    IReadOnlyList<DriftInstant> everywhere = await check.FollowAsync(progress, cancel);
                    if (await Task.Run(() => DriftStage.OfAnotherClip(everywhere, clips, Correct), cancel) is { } found)
                    {
                        drifts[second] = found;
                    }
                }

                DriftTrack? track = drifts.GetValueOrDefault(second)?.Track;
                seen.AddRange(over.Result.OverTime.Select(f => new Seen(first, second, Still(f, track), places.Times.Clips[first].ShootTime(f.PrimarySeconds))));
            }
            catch (NoTrustworthyResultException)
            {
                // These two clips have nothing in common; others may.
            }
        }

        CameraMatch looked = match with { Drifts = drifts.ToImmutableDictionary() };
        return !findsStates || seen.Count == 0 || !settings.Trim.IsNone ? looked : await WithStatesAsync(places, looked, seen, followed, settings, progress, cancel);
    }

    private static async Task<CameraMatch> WithStatesAsync(
        ShootPlaces places, CameraMatch match, List<Seen> seen, List<Followed> followed, MatchRequest settings, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ImmutableArray<LightStretch> stretches = LightStates.Find([.. seen.Select(s => s.Light)]);
        int count = stretches.Max(s => s.State) + 1;
        if (count < 2)
        {
            return match;
        }

        stretches = await ShootEdges.ExactAsync(places, match.Camera, stretches, [.. LightStates.WithoutLonely(seen.Select(s => s.Light)).Select(l => l.Seconds)], settings.Reader, progress, cancel);
        (SampleSet samples, ImmutableArray<int> states) = await SampledAsync(places, match, seen, followed, stretches, settings, progress, cancel);
        progress.Report(new("One correction for all light, or one each", 0));
        return await Task.Run(
            () =>
            {
                if (StateFitting.Compare(samples, states, match.Outcome!.Fit.Advised.Correction.Kind, cancel) is not { IsPerState: true } better)
                {
                    return match;
                }

                Dictionary<int, (BakedCorrection Chosen, int Samples)> fitted = [];
                for (int state = 0; state < count; state++)
                {
                    SampleSet same = samples with { Pairs = [.. samples.Pairs.Where((_, i) => states[i] == state)] };
                    if (same.Pairs.Length >= FewestSamples && Fitted(same, settings, cancel) is { } chosen)
                    {
                        fitted[state] = (chosen, same.Pairs.Length);
                    }
                }

                if (fitted.Count < 2)
                {
                    return match;
                }

                StateCorrection[] corrections = [.. Enumerable.Range(0, count).Select(state => fitted.TryGetValue(state, out (BakedCorrection Chosen, int Samples) ofItsOwn)
                    ? new StateCorrection(state, ofItsOwn.Chosen, ofItsOwn.Samples, state)
                    : Taken(state, fitted, seen, stretches))];
                CameraStates found = new(stretches, [.. corrections], better);
                return match with { States = found, Note = $"{match.Note} {Words(match.Camera.Name, found)}".Trim() };
            },
            cancel);
    }

    private static string Words(string camera, CameraStates states) => string.Create(
        CultureInfo.InvariantCulture,
        $"The light has {states.Corrections.Length} states, and {camera} needs a different correction in each: one for all leaves a mean Delta E of {states.Comparison.OneForAllMean:0.0}, one for each {states.Comparison.PerStateMean:0.0}, on colours not used in the fit. corrections.csv lists which file applies when.")
        + string.Concat(states.Corrections.Where(c => c.IsTaken).Select(c => string.Create(
            CultureInfo.InvariantCulture, $" In state {c.State + 1} the cameras saw too little in common: it uses the correction of state {c.TakenFrom + 1}, whose light is closest.")));

    private static BakedCorrection? Fitted(SampleSet samples, MatchRequest settings, CancellationToken cancel)
    {
        try
        {
            return FitStage.Run(samples, settings.Model, settings.LutSize, settings.Trim, cancel).Chosen;
        }
        catch (NoTrustworthyResultException)
        {
            // Too few colours, or all alike: another state's correction stands in.
            return null;
        }
    }

    // The nearest light is the one in which the cameras differ in the most similar way.
    private static StateCorrection Taken(int state, Dictionary<int, (BakedCorrection Chosen, int Samples)> fitted, List<Seen> seen, ImmutableArray<LightStretch> stretches)
    {
        LightInstant[] In(int of) => [.. seen.Where(s => LightStates.At(stretches, s.ShootSeconds) == of).Select(s => s.Light)];
        LightInstant[] own = In(state);
        int nearest = fitted.Keys.MinBy(k => LightInstant.Apart(In(k), own));
        return new StateCorrection(state, fitted[nearest].Chosen, 0, nearest);
    }

    // The match's own samples; for states with too few of them, known places at instants within that state; and if those
    // are too few, samples searched for there.
    private static async Task<(SampleSet Samples, ImmutableArray<int> States)> SampledAsync(
        ShootPlaces places, CameraMatch match, List<Seen> seen, List<Followed> followed, ImmutableArray<LightStretch> stretches, MatchRequest settings, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        SampleSet main = match.Outcome!.Samples;
        List<SamplePair> pairs = [];
        List<int> states = [];
        PlacedClip first = places.Times.Clips[match.PrimaryClip];
        foreach (SamplePair pair in main.Pairs.Where(p => p.Origin is not null))
        {
            pairs.Add(pair);
            states.Add(LightStates.At(stretches, first.ShootTime(pair.Origin!.PrimarySeconds)));
        }

        foreach (int state in Poor())
        {
            foreach (Followed together in Spread([.. followed.Where(f => LightStates.At(stretches, ShootSeconds(f)) == state).OrderBy(ShootSeconds)]))
            {
                string mark = string.Create(CultureInfo.InvariantCulture, $"{together.First}-{together.Second}:followed-");
                DriftTrack? track = match.Drifts.GetValueOrDefault(together.Second)?.Track;
                foreach (DriftSample s in together.Instant.Samples)
                {
                    CodeRgb secondary = track?.At(together.Instant.Seconds).TakeOutOf(s.Secondary, main.SecondaryEncoding) ?? s.Secondary;
                    pairs.Add(new SamplePair(string.Create(CultureInfo.InvariantCulture, $"{mark}{s.Place}@{together.Instant.Seconds:0.000}"), $"{mark}{s.Place}", s.Primary, secondary));
                    states.Add(state);
                }
            }
        }

        int[] poor = Poor();
        foreach (IGrouping<(int First, int Second), Seen> together in seen.Where(s => poor.Contains(LightStates.At(stretches, s.ShootSeconds))).GroupBy(s => (s.First, s.Second)).OrderByDescending(g => g.Count()))
        {
            int[] wanted = [.. poor.Where(s => states.Count(x => x == s) < FewestSamples)];
            string[] at = [.. together.GroupBy(s => LightStates.At(stretches, s.ShootSeconds)).Where(g => wanted.Contains(g.Key))
                .SelectMany(g => Spread([.. g.Select(s => s.Figures.PrimarySeconds).Order()])).Order().Select(t => t.ToString("0.###", CultureInfo.InvariantCulture))];
            if (at.Length == 0)
            {
                continue;
            }

            try
            {
                SampleSet more = (await MatchJob.SampleAsync(places.RequestOf(together.Key.First, together.Key.Second, settings) with { At = [.. at] }, progress, cancel)).Samples;
                if (more.Method == SamplingMethod.Overall)
                {
                    continue;
                }

                PlacedClip ofThese = places.Times.Clips[together.Key.First];
                string mark = string.Create(CultureInfo.InvariantCulture, $"{together.Key.First}-{together.Key.Second}:");
                foreach (SamplePair pair in more.Pairs.Where(p => p.Origin is not null))
                {
                    // A chart patch is the same object in every light and is left out of all states together.
                    pairs.Add(pair with { Id = mark + pair.Id, Group = more.Method == SamplingMethod.Chart && main.Method == SamplingMethod.Chart ? pair.Group : mark + pair.Group });
                    states.Add(LightStates.At(stretches, ofThese.ShootTime(pair.Origin!.PrimarySeconds)));
                }
            }
            catch (NoTrustworthyResultException)
            {
                // Another pair of clips may have the state.
            }
        }

        return (main with { Pairs = [.. pairs] }, [.. states]);

        int[] Poor() => [.. stretches.Select(s => s.State).Distinct().Where(s => states.Count(x => x == s) < FewestSamples)];

        double ShootSeconds(Followed f) => places.Times.Clips[f.Second].ShootTime(f.Instant.Seconds);
    }

    private static IEnumerable<T> Spread<T>(T[] inOrder) =>
        Enumerable.Range(0, Math.Min(InstantsAState, inOrder.Length)).Select(k => inOrder[(int)((k + 0.5) * inOrder.Length / Math.Min(InstantsAState, inOrder.Length))]);

    // Longest overlap first; the matched pair is known already.
    private static IEnumerable<(int First, int Second)> OtherPairs(ShootPlaces places, ShootCamera reference, CameraMatch match) =>
        places.Together(reference, match.Camera).Where(p => p != (match.PrimaryClip, match.SecondaryClip)).Take(MostPairs);

    private static InstantFigures Still(InstantFigures figures, DriftTrack? track)
    {
        if (track is null)
        {
            return figures;
        }

        (double r, double g, double b) = track.At(figures.SecondarySeconds).ToChannelStops();
        return figures with { ExposureStops = figures.ExposureStops - g, RedGreenStops = figures.RedGreenStops - (r - g), BlueGreenStops = figures.BlueGreenStops - (b - g) };
    }
}
