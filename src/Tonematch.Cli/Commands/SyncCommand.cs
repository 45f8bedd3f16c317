using System.CommandLine;
using Tonematch.Exports;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Shoot;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;

namespace Tonematch.Cli.Commands;

/// <summary>The command tonematch sync: the time offset of recordings.</summary>
internal static class SyncCommand
{
    public static Command Create(Terminal terminal)
    {
        (Argument<string?> primary, Argument<string[]> secondaries) = Inputs.PrimaryAndSecondaries();
        Option<string[]> cameras = ShootMatchRun.CameraOption();
        Option<string?> folder = new("--out") { Description = "For whole cameras: the folder for timeline.otio, edit lists and the table of places.", HelpName = "DIR" };
        Option<bool> force = Inputs.Force();
        Option<bool> json = Inputs.Json();
        SoundOptions sound = new();
        Command command = new("sync", "Finds how recordings line up in time.\nExample: tonematch sync wide.mp4 close.mp4 --json")
        {
            primary, secondaries, json, cameras, folder, force,
        };
        sound.AddTo(command);
        Inputs.RequireTwo(command, primary, secondaries, cameras);
        command.SetAction(async (parsed, cancel) =>
        {
            string[] clips = parsed.GetValue(secondaries) ?? [], named = parsed.GetValue(cameras) ?? [];
            string? first = parsed.GetValue(primary);
            string[] all = [.. first is null ? (string[])[] : [first], .. clips];
            if (ShootMatchRun.IsShoot(all, named))
            {
                ShootMatchRun.RefuseJson(parsed.GetValue(json));
                ShootPlaces places = await ShootMatchRun.PlaceAsync(terminal, all, named, cancel);
                foreach (string line in ShootFiles.PlacesText(places).TrimEnd('\n').Split('\n'))
                {
                    terminal.Line(line);
                }

                ShootMatchRun.Say(terminal, places);
                if (parsed.GetValue(folder) is { } to)
                {
                    terminal.Line($"Files in {Path.GetFullPath(to)}: {string.Join(", ", ShootFiles.Write(places, to, parsed.GetValue(force), []))}");
                }

                return places.Times.Clips.Count(c => c.IsPlaced) > places.Cameras[0].Clips.Length ? ExitCode.Done : ExitCode.NoTrustworthyResult;
            }

            List<object> results = [];
            int refused = ExitCode.Done;

            // All clips are probed before listening to the first, because the last of many names may be misspelt.
            ClipInfo a = await ClipProbe.ProbeAsync(first!, cancel);
            List<ClipInfo> others = [];
            foreach (string clip in clips)
            {
                others.Add(await ClipProbe.ProbeAsync(clip, cancel));
            }

            foreach (ClipInfo b in others)
            {
                try
                {
                    MatchRequest request = sound.Read(parsed, new MatchRequest(a.Path, b.Path));
                    SyncStage.Result found = await terminal.WithProgressAsync(progress =>
                    {
                        progress.Report(new("Listening to both recordings", 0));
                        return SyncStage.RunAsync(a, b, request, wantsMoment: false, cancel);
                    });
                    results.Add(new { Primary = a.Path, Secondary = b.Path, Sync = MatchJson.Sync(found.Found) });
                    if (!parsed.GetValue(json))
                    {
                        terminal.Line($"{Path.GetFileName(b.Path)}: {MatchWords.InTime(found.Found, a.FrameRate.Value)}");
                    }

                    foreach (string warning in found.Found.Warnings)
                    {
                        terminal.Warning(warning);
                    }
                }
                catch (NoTrustworthyResultException e) when (clips.Length > 1)
                {
                    // One recording that does not fit does not hide the others.
                    refused = ExitCode.NoTrustworthyResult;
                    results.Add(new { Primary = a.Path, Secondary = b.Path, Refused = e.Message });
                    terminal.Error($"{Path.GetFileName(b.Path)}: {e.Message}");
                }
            }

            if (parsed.GetValue(json))
            {
                terminal.Json(MatchJson.Write(results.Count == 1 ? results[0] : results));
            }

            return refused;
        });
        return command;
    }
}
