using System.CommandLine;
using Tonematch.Exports;
using Tonematch.Matching;
using Tonematch.Matching.Requests;
using Tonematch.Matching.Stages;
using Tonematch.Matching.Words;
using Tonematch.Media.Clips;

namespace Tonematch.Cli.Commands;

/// <summary>tonematch sync: how recordings lie in time.</summary>
internal static class SyncCommand
{
    public static Command Create(Terminal terminal)
    {
        Argument<string> primary = Inputs.Primary();
        Argument<string[]> secondaries = Inputs.Secondaries();
        Option<bool> json = Inputs.Json();
        SoundOptions sound = new();
        Command command = new("sync", "Says how recordings lie in time: t_secondary = t_primary + offset.\nExample: tonematch sync wide.mp4 close.mp4 --json")
        {
            primary, secondaries, json,
        };
        sound.AddTo(command);
        command.SetAction(async (parsed, cancel) =>
        {
            List<object> results = [];
            foreach (string secondary in parsed.GetRequiredValue(secondaries))
            {
                MatchRequest request = sound.Read(parsed, new MatchRequest(parsed.GetRequiredValue(primary), secondary));
                (ClipInfo a, ClipInfo b) = await MatchJob.ProbeAsync(request, cancel);
                SyncStage.Result found = await terminal.WithProgressAsync(progress =>
                {
                    progress.Report(new("Listening to both recordings", 0));
                    return SyncStage.RunAsync(a, b, request, wantsMoment: false, cancel);
                });
                results.Add(new { Primary = a.Path, Secondary = b.Path, Sync = MatchJson.Sync(found.Found) });
                if (!parsed.GetValue(json))
                {
                    terminal.Line($"{Path.GetFileName(b.Path)}: {MatchWords.InTime(found.Found)}");
                }

                foreach (string warning in found.Found.Warnings)
                {
                    terminal.Warning(warning);
                }
            }

            if (parsed.GetValue(json))
            {
                terminal.Line(MatchJson.Write(results.Count == 1 ? results[0] : results).TrimEnd());
            }

            return ExitCode.Done;
        });
        return command;
    }
}
