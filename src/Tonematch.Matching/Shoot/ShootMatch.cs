using System.Collections.Immutable;
using System.Globalization;
using Tonematch.Luts.Tables;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Shoot;
using Tonematch.States;

namespace Tonematch.Matching.Shoot;

/// <summary>
/// Matches every camera of a shoot to the first one: from the pair of clips with the longest overlap or, for a camera
/// that shares no view with the first, through another, corrected camera.
/// </summary>
public static class ShootMatch
{
    private const int MostTried = 3;

    /// <summary>Matches all cameras but the first; sound recorders have nothing to match.</summary>
    /// <param name="places">The places of all clips in time.</param>
    /// <param name="settings">The settings of each match; the paths and the offset are set here.</param>
    /// <param name="progress">Receives the progress.</param>
    /// <param name="cancel">Stops the work.</param>
    public static async Task<ImmutableArray<CameraMatch>> RunAsync(
        ShootPlaces places, MatchRequest settings, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        ArgumentNullException.ThrowIfNull(places);
        ArgumentNullException.ThrowIfNull(settings);
        ArgumentNullException.ThrowIfNull(progress);
        List<CameraMatch> done = [];
        List<ShootCamera> open = [.. places.PictureCameras.Skip(1)];
        foreach (ShootCamera camera in open.ToArray())
        {
            if (await TryAsync(places, places.Cameras[0], camera, settings, progress, cancel) is { } match)
            {
                done.Add(await ShootStates.RunAsync(places, places.Cameras[0], match, settings, findsStates: true, progress, cancel));
                open.Remove(camera);
            }
        }

        // Through another camera, best match first; a camera matched this way may lead to the next.
        for (bool found = true; found && open.Count > 0;)
        {
            found = false;
            foreach (ShootCamera camera in open.ToArray())
            {
                foreach (CameraMatch middle in done.Where(d => d.Lut is not null).OrderBy(d => d.Outcome!.Chosen.After.Mean).ToArray())
                {
                    if (await TryAsync(places, middle.Camera, camera, settings, progress, cancel) is { Outcome: { } outcome } match)
                    {
                        Lut3D first = outcome.Chosen.Lut;
                        CameraMatch followed = await ShootStates.RunAsync(places, middle.Camera, match, settings, findsStates: false, progress, cancel);
                        double cost = Math.Sqrt((outcome.Chosen.After.Mean * outcome.Chosen.After.Mean) + (middle.Outcome!.Chosen.After.Mean * middle.Outcome.Chosen.After.Mean));
                        done.Add(followed with
                        {
                            Through = middle.Camera.Name,
                            Lut = Composed(first, InItsLight(places, middle, match)),

                            // In each lighting state as the camera in between needs it.
                            States = middle.States is { } states
                                ? states with { Corrections = [.. states.Corrections.Select(c => c with { Chosen = outcome.Chosen with { Lut = Composed(first, c.Chosen.Lut) } })] }
                                : null,
                            Note = string.Create(
                                CultureInfo.InvariantCulture,
                                $"{camera.Name} shares no view with {places.Cameras[0].Name}: it was matched to the corrected {middle.Camera.Name} instead. The errors of both matches add up to a mean Delta E of about {cost:0.0} (its own: {outcome.Chosen.After.Mean:0.0})."),
                        });
                        open.Remove(camera);
                        found = true;
                        break;
                    }
                }
            }
        }

        done.AddRange(open.Select(c => new CameraMatch(c, null, null, -1, -1, $"{c.Name} shares no view with any other camera at the same time: it has no correction.")));
        return [.. places.PictureCameras.Skip(1).Select(c => done.First(d => d.Camera == c))];
    }

    // The middle camera's correction in the light in which the match was made.
    private static Lut3D InItsLight(ShootPlaces places, CameraMatch middle, CameraMatch match)
    {
        (double from, double to) = places.Overlap(match.PrimaryClip, match.SecondaryClip);
        return middle.States is { } states ? states.Corrections[LightStates.At(states.Stretches, (from + to) / 2)].Chosen.Lut : middle.Lut!;
    }

    private static Lut3D Composed(Lut3D first, Lut3D second) =>
        Lut3D.FromFunction(first.Size, c => LutInterpolation.Tetrahedral(second, LutInterpolation.Tetrahedral(first, c)));

    private static async Task<CameraMatch?> TryAsync(
        ShootPlaces places, ShootCamera primary, ShootCamera secondary, MatchRequest settings, IProgress<StageProgress> progress, CancellationToken cancel)
    {
        foreach ((int first, int second) in places.Together(primary, secondary).Take(MostTried))
        {
            (PlacedClip a, PlacedClip b) = (places.Times.Clips[first], places.Times.Clips[second]);
            try
            {
                MatchOutcome outcome = await MatchJob.MatchAsync(places.RequestOf(first, second, settings), progress, cancel);
                if (outcome.Samples.Method == Samples.SamplingMethod.Overall && settings.Method is null)
                {
                    // Nothing in common was seen, and whole pictures of different views say too little about a whole
                    // camera.
                    continue;
                }

                string note = a.IsSure && b.IsSure ? "" : $"The place of '{(a.IsSure ? b : a).Clip.Name}' in time is uncertain: see placement.txt.";
                return new CameraMatch(secondary, outcome, outcome.Chosen.Lut, first, second, note)
                {
                    Drifts = outcome.Drift is { } drift ? ImmutableDictionary<int, DriftOutcome>.Empty.Add(second, drift) : ImmutableDictionary<int, DriftOutcome>.Empty,
                };
            }
            catch (NoTrustworthyResultException)
            {
                // The next pair may have something in common.
            }
        }

        return null;
    }
}
