using System.Collections.Immutable;
using System.CommandLine;
using System.Globalization;
using Tonematch.Exports;
using Tonematch.Matching.Outcome;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Shoot;
using Tonematch.Matching.Words;
using Tonematch.Shoot;

namespace Tonematch.Cli.Commands;

/// <summary>The commands match and sync for whole cameras: folders, or --camera NAME=FILE,FILE.</summary>
internal static class ShootMatchRun
{
    public static Option<string[]> CameraOption() => new("--camera")
    {
        Description = "A camera and its clips; may be given several times. The first camera is the one whose colours are right.",
        HelpName = "NAME=FILE,FILE",
    };

    /// <summary>Whether the arguments name cameras and not single clips.</summary>
    public static bool IsShoot(IEnumerable<string> places, IEnumerable<string> cameras) => cameras.Any() || places.Any(Directory.Exists);

    /// <summary>Refuses --json, which whole cameras do not have.</summary>
    public static void RefuseJson(bool isAsked)
    {
        if (isAsked)
        {
            throw new WrongUseException("--json is for single clips. For whole cameras --out writes placement.csv, timeline.otio and a match.json for each camera, which programs can read.");
        }
    }

    /// <summary>Finds the places of all clips, after naming the files that were skipped.</summary>
    public static async Task<ShootPlaces> PlaceAsync(Terminal terminal, IEnumerable<string> places, IEnumerable<string> cameras, CancellationToken cancel)
    {
        ImmutableArray<CameraFiles> files = CameraFiles.Read(places, cameras);
        if (files.Length < 2)
        {
            throw new UnusableInputException("There is only one camera. Give a folder for each, or --camera NAME=FILE,FILE.");
        }

        ShootProbe.Result probed = await terminal.WithProgressAsync(progress => ShootProbe.RunAsync(files, progress, cancel));
        foreach (string note in probed.Notes)
        {
            terminal.Warning(note);
        }

        return await terminal.WithProgressAsync(progress => ShootSync.RunAsync(probed.Cameras, progress, cancel));
    }

    /// <summary>Matches all cameras and writes everything.</summary>
    public static async Task<int> MatchAsync(
        Terminal terminal, IEnumerable<string> given, IEnumerable<string> cameras, string root, bool force, bool evenSo, MatchRequest settings, string command, CancellationToken cancel)
    {
        ShootPlaces places = await PlaceAsync(terminal, given, cameras, cancel);
        string[] inputs = [.. places.Clips.Select(c => c.Path)];
        List<ResultFolder> folders = [];
        try
        {
            foreach (ShootCamera camera in places.PictureCameras.Skip(1))
            {
                folders.Add(ResultFolder.Prepare(Path.Combine(root, FileNames.Safe(camera.Name)), MatchFiles.Names, force, inputs));
            }

            ImmutableArray<CameraMatch> matches = await terminal.WithProgressAsync(progress => ShootMatch.RunAsync(places, settings, progress, cancel));
            for (int k = 0; k < matches.Length; k++)
            {
                if (matches[k].Outcome is { } outcome)
                {
                    string own = ShootFiles.MatchFolderOf(matches[k], folders[k].FullPath);
                    if (own == folders[k].FullPath)
                    {
                        await MatchFiles.WriteAsync(outcome, evenSo, folders[k], command, cancel);
                    }
                    else
                    {
                        using ResultFolder inner = ResultFolder.Prepare(own, MatchFiles.Names, force, inputs);
                        await MatchFiles.WriteAsync(HalfWay(matches[k], outcome), evenSo, inner, command, cancel);
                    }

                    if (MatchFiles.HandsOver(outcome, evenSo))
                    {
                        ShootFiles.WriteBeside(matches[k], places, folders[k].FullPath, force);
                    }
                }
            }

            IReadOnlyList<string> written = ShootFiles.Write(places, root, force, [.. matches.Select((m, k) => (m, m.Outcome is { } o && MatchFiles.HandsOver(o, evenSo) ? folders[k].FullPath : null))]);
            Say(terminal, places);
            foreach (ShootCamera recorder in places.Cameras.Where(c => !c.HasPictures))
            {
                terminal.Line($"{recorder.Name}: only sound; used for sync, and available to render --sound-from");
            }

            foreach (CameraMatch match in matches)
            {
                terminal.Line(match.Outcome is { } o
                    ? string.Create(CultureInfo.InvariantCulture, $"{match.Camera.Name}: {VerdictWords.Headline(o.Verdict)} ({Path.Combine(root, FileNames.Safe(match.Camera.Name))}{(MatchFiles.HandsOver(o, evenSo) ? "" : ": the report only")})")
                    : $"{match.Camera.Name}: no correction");
                if (match.Note.Length > 0)
                {
                    terminal.Warning(match.Note);
                }

                foreach (string reason in match.Outcome is { } judged ? VerdictWords.Reasons(judged.Verdict) : [])
                {
                    terminal.Line($"{match.Camera.Name}: {reason}");
                }

                foreach ((int clip, DriftOutcome drift) in match.Drifts.Where(d => d.Key != match.SecondaryClip).OrderBy(d => d.Key))
                {
                    terminal.Warning($"{match.Camera.Name}: {DriftWords.Say(drift, Path.GetFileName(places.Clips[clip].Path), ShootFiles.DriftNameOf(match, clip, places))}");
                }

                foreach (string warning in match.Outcome?.Warnings ?? [])
                {
                    // The matched clip's drift has another name in the camera's folder if the match itself has a folder.
                    terminal.Warning($"{match.Camera.Name}: {warning.Replace("drift.csv", ShootFiles.DriftNameOf(match, match.SecondaryClip, places), StringComparison.Ordinal)}");
                }
            }

            terminal.Line($"Files in {Path.GetFullPath(root)}: {string.Join(", ", written)}");
            return matches.Any(m => m.Outcome is null or { Verdict.Kind: VerdictKind.DoNotUse }) ? ExitCode.NoTrustworthyResult : ExitCode.Done;
        }
        finally
        {
            folders.ForEach(f => f.Dispose());
        }
    }

    // Its files are for the other camera's picture, and its report says what to load: not those.
    private static MatchOutcome HalfWay(CameraMatch match, MatchOutcome outcome) => outcome with
    {
        Warnings =
        [
            $"This is the match to {match.Through}, half of the way: here camera A is {match.Through}. For {match.Camera.Name}'s clips take the files of the folder above, as corrections.csv lists them.",
            .. outcome.Warnings,
        ],
    };

    /// <summary>Prints how many clips have a place, and remarks on those that have none.</summary>
    public static void Say(Terminal terminal, ShootPlaces places)
    {
        terminal.Line(string.Create(
            CultureInfo.InvariantCulture,
            $"{places.Times.Clips.Count(c => c.IsPlaced)} of {places.Times.Clips.Length} clips of {places.Cameras.Length} cameras are on one clock, {places.Times.Clips.Count(c => c.IsSure)} of them with certainty."));
        foreach (PlacedClip clip in places.Times.Clips.Where(c => !c.Doubts.IsEmpty))
        {
            terminal.Warning($"{clip.Clip.Name}: {string.Join(' ', clip.Doubts)}");
        }

        foreach (RefusedMeeting refused in places.Times.Refused)
        {
            Meeting meeting = places.Meetings[refused.Meeting];
            terminal.Warning($"{places.Times.Clips[meeting.First].Clip.Name} and {places.Times.Clips[meeting.Second].Clip.Name} were not placed by each other. {refused.Reason}");
        }
    }
}
